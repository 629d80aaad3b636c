"""What every answer is, and a refusal."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class Answer(BaseModel):
    """An answer; keys may be added in later versions."""

    model_config = ConfigDict(extra="allow")


class Problem(Answer):
    """A refusal (RFC 9457): what was given, what is allowed, what to do."""

    type: str = Field(
        "about:blank", description="what kind of problem it is; about:blank where the status says it"
    )
    title: str = Field(description="the kind of refusal in a few words")
    status: int = Field(description="the status of the answer")
    detail: str = Field(description="what was given, what is allowed and what to do")
