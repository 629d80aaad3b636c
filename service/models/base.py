"""What every answer is, and a refusal."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Answer(BaseModel):
    """An answer; keys may be added in later versions."""

    model_config = ConfigDict(extra="allow")


class KeyPlaceOut(Answer):
    """A key of an order."""

    table: str
    number: int | None = Field(description="which one, from 1, of a table that is written several times")
    key: str | None = Field(description="null where the whole table is meant")


class PieceOut(Answer):
    """A part of a sentence: words, or a key, a value, or both."""

    words: str | None
    place: KeyPlaceOut | None = Field(description="the key; its value has the key's unit")
    value: float | str | bool | None
    unit: str | None = Field(description="of a value that is no key's")
    named: bool = Field(description="whether the key is named, not only its value")


class SettingOut(KeyPlaceOut):
    """A value that is advised for a key."""

    value: float | str | bool | None = Field(description="null: leave the key out")
    bound: Literal["least", "most"] | None = Field(description="whether more, or less, will do as well")


class RefusedOut(Answer):
    """A refusal in parts, for a form to say in its own words, with ways out; empty where detail alone says it."""

    place: KeyPlaceOut | None
    given: list[PieceOut]
    allowed: list[PieceOut]
    todo: list[PieceOut] = Field(description="what to do besides the ways")
    ways: list[list[SettingOut]] = Field(description="each a way out: what is set together")


class Problem(Answer):
    """A refusal (RFC 9457): what was given, what is allowed, what to do."""

    type: str = Field(
        "about:blank", description="what kind of problem it is; about:blank where the status says it"
    )
    title: str = Field(description="the kind of refusal in a few words")
    status: int = Field(description="the status of the answer")
    detail: str = Field(description="what was given, what is allowed and what to do")
    refused: RefusedOut | None = Field(
        None, description="the same in parts, where a value of the request is refused"
    )
