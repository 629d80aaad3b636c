"""Schemas of the document under names of their own, each once and referenced where it is used."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..models.words import COMPONENT

Schema = dict[str, Any]
HERE = ("title", "description", "default")
"""What is said of a word where it is used, and so stays there."""
SCHEMAS = "#/components/schemas/"
FRAMEWORK = ("HTTPValidationError", "ValidationError")
"""The framework's own refusals, which never leave this service."""


def plain_name(name: str) -> str:
    """Return a class's name as programs know it: without the ending that tells it from the library's own class."""
    return name.removesuffix("Out")


def named(document: Schema) -> None:
    """Move each marked schema to the components, once, and rename those of classes."""
    kept = document["components"]["schemas"]
    for name in FRAMEWORK:
        kept.pop(name, None)
    renamed = {plain_name(name): schema for name, schema in kept.items()}
    if len(renamed) < len(kept):
        raise ValueError("two classes of answers have one name in the document")
    found: Schema = {}
    document["paths"] = _referring(document["paths"], found)
    for name, schema in renamed.items():
        found[name] = {**_untitled(_referring(schema, found)), "title": name}
    document["components"]["schemas"] = dict(sorted(found.items()))


def walked(value: Any) -> Iterator[dict[str, Any]]:
    """Give every object inside a value, itself first."""
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from walked(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from walked(inner)


def _referring(value: Any, found: Schema) -> Any:
    """Return a value with references where marked schemas stand; these are added to `found`."""
    if isinstance(value, list):
        return [_referring(one, found) for one in value]
    if not isinstance(value, dict):
        return value
    if "example" in value or "examples" in value:
        told = {key: value[key] for key in ("example", "examples") if key in value}
        rest = {key: one for key, one in value.items() if key not in told}
        return {**_referring(rest, found), **told} if rest else value
    if str(value.get("$ref", "")).startswith(SCHEMAS):
        return {**value, "$ref": SCHEMAS + plain_name(value["$ref"].removeprefix(SCHEMAS))}
    inner = {key: _referring(one, found) for key, one in value.items() if key != COMPONENT}
    if COMPONENT not in value or ("type" not in inner and "anyOf" not in inner):
        return inner if COMPONENT not in value else {**inner, COMPONENT: value[COMPONENT]}
    name = value[COMPONENT]
    is_word = "enum" in inner
    here = {key: inner.pop(key) for key in HERE if key in inner} if is_word else {}
    whole = {**_untitled(inner), "title": name}
    if found.setdefault(name, whole) != whole:
        raise ValueError(f"two schemas are called {name}")
    return {"$ref": SCHEMAS + name, **here}


def _untitled(schema: Schema) -> Schema:
    """Return the schema of a class without the titles that only repeat its keys."""
    properties = schema.get("properties")
    if not properties or schema.get("additionalProperties") is not True:
        return schema
    plain = {
        name: {key: one for key, one in inner.items() if key != "title"} for name, inner in properties.items()
    }
    return {**schema, "properties": plain}
