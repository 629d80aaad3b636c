"""What a client takes: media types and packings with their weights (RFC 9110, 12.4.2, 12.5.1 and 12.5.3)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Literal

from fastapi import Request

from seatmesh.errors import NotAmongError
from seatmesh.units import shown

from ..refusal import ProblemError
from .media_types import BYTES

WEIGHT = re.compile(r"0(\.\d{0,3})?|1(\.0{0,3})?")
UNSAID = 1e-6
"""The weight of sending a file as it is, where the client names other ways and does not speak of it."""


def weights(request: Request, header: str) -> dict[str, float] | None:
    """Return what a header lists with its weights, in the order given; None without that header.

    What has a weight that is none is left out.
    """
    given = request.headers.getlist(header)
    if not given:
        return None
    found: dict[str, float] = {}
    for part in ",".join(given).lower().split(","):
        name, *parameters = (one.strip() for one in part.split(";"))
        weight = next((one[2:].strip() for one in parameters if one.startswith("q=")), "1")
        if name and WEIGHT.fullmatch(weight):
            found[name] = float(weight)
    return found


def packing(request: Request, can_pack: bool) -> Literal["gzip", "identity"]:
    """Choose how an answer is sent.

    Raises
    ------
    ProblemError
        406 when the client takes neither way that there is.
    """
    taken = weights(request, "accept-encoding")
    if taken is None:
        return "identity"
    any_other = taken.get("*")
    plain = taken.get("identity", 0.0 if any_other == 0.0 else UNSAID)
    packed = taken.get("gzip", taken.get("x-gzip", any_other or 0.0))
    if can_pack and packed > 0.0 and packed >= plain:
        return "gzip"
    if plain > 0.0:
        return "identity"
    there = "gzip and identity" if can_pack else "identity"
    detail = f"Accept-Encoding takes none of what there is, which is {there}; take one of these"
    raise ProblemError(406, "Not to be had like that", detail, {"Vary": "Accept-Encoding"})


def asks_for_bytes(request: Request, media_type: str) -> bool:
    """Tell whether the client takes plain bytes and does not take the media type that they have."""
    taken = weights(request, "accept") or {}
    own = media_type.partition(";")[0]
    return taken.get(BYTES, 0.0) > 0.0 and not any(
        taken.get(one, 0.0) for one in (own, f"{own.partition('/')[0]}/*", "*/*")
    )


def form_asked_for(given: str | None, request: Request, media: Mapping[str, str]) -> str:
    """Return the form, of those with their media types, that a client asks for by name or by the header Accept.

    Raises
    ------
    NotAmongError
        The name is none of them.
    ProblemError
        406 when the client takes none of them.
    """
    if given is None:
        types = {media_type: form for form, media_type in media.items()}
        return types[negotiated(request, list(types))]
    if given not in media:
        raise NotAmongError("format", shown(given), media)
    return given


def negotiated(request: Request, types: Sequence[str]) -> str:
    """Return the media type, of those that there are, that a client likes best; without a wish the first.

    Of types liked as well as another, the one named more closely comes first, then the one named earlier.

    Raises
    ------
    ProblemError
        406 when the client takes none of them.
    """
    taken = weights(request, "accept")
    if not taken:
        return types[0]
    order = list(taken)
    ranked = []
    for number, one in enumerate(types):
        for closeness, wider in ((2, one), (1, f"{one.partition('/')[0]}/*"), (0, "*/*")):
            if wider in taken:
                if taken[wider] > 0.0:
                    ranked.append((-taken[wider], -closeness, order.index(wider), number))
                break
    if ranked:
        return types[min(ranked)[-1]]
    detail = f"Accept takes none of what there is: {', '.join(types)}; take one of these"
    raise ProblemError(406, "Not to be had like that", detail, {"Vary": "Accept"})
