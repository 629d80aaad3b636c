"""Answers: media types, tags and conditions, parts, packing, and the names that files are saved under."""

from .bytes_answer import bytes_answer, json_answer
from .kept_answer import kept_answer, opened_answer, unchanged_answer
from .media_types import JSON, MEDIA_TYPES, PACKED
from .saved_names import attachment

__all__ = [
    "JSON",
    "MEDIA_TYPES",
    "PACKED",
    "attachment",
    "bytes_answer",
    "json_answer",
    "kept_answer",
    "opened_answer",
    "unchanged_answer",
]
