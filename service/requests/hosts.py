"""Hosts and origins: what a Host header may be, which names are this machine's, whose page a request comes from."""

from __future__ import annotations

import ipaddress
import re
from urllib.parse import urlsplit

from starlette.datastructures import Headers

HOST = re.compile(
    r"(\[[0-9a-f:.]+\]|[a-z0-9_](?:[a-z0-9_.-]*[a-z0-9_])?)(?::([0-9]{1,5}))?", re.IGNORECASE | re.ASCII
)
"""A name or address and maybe a port (RFC 9110, 7.2); no user before it, nothing behind."""
READS = ("GET", "HEAD", "OPTIONS")
USUAL_PORTS = {"http": "80", "https": "443"}


def is_host(text: str) -> bool:
    """Tell whether a text is a host, with or without a port."""
    found = HOST.fullmatch(text)
    if found is None or (found[2] and not 0 < int(found[2]) <= 65535):
        return False
    return not found[1].startswith("[") or _address(found[1]) is not None


def is_loopback(text: str) -> bool:
    """Tell whether a host is this machine by a name that no other machine can have."""
    found = HOST.fullmatch(text)
    if found is None or not is_host(text):
        return False
    address = _address(found[1])
    return found[1].lower() == "localhost" or (address is not None and address.is_loopback)


def is_foreign(method: str, headers: Headers, allowed: str | None) -> bool:
    """Tell whether a page of another site changes something here.

    A browser says whose page asks, in Origin (RFC 6454) and Sec-Fetch-Site (W3C Fetch Metadata), whatever the media
    type; a page cannot change what it says, nor send X-Forwarded-Host without being asked for. Programs send neither.
    """
    if method in READS:
        return False
    site = headers.get("sec-fetch-site", "").strip().lower()
    origins = [one.strip() for one in headers.getlist("origin")]
    if allowed is not None and origins and all(allowed in ("*", one) for one in origins):
        return False
    if site not in ("", "none", "same-origin"):
        return True
    # A proxy that hides the host from here cannot hide from the browser that the page is its own.
    return site != "same-origin" and not all(_is_own(one, headers) for one in origins)


def _is_own(origin: str, headers: Headers) -> bool:
    try:
        parts = urlsplit(origin)
        own = (parts.hostname or "", parts.port or USUAL_PORTS.get(parts.scheme))
    except ValueError:
        return False
    if parts.scheme not in USUAL_PORTS or origin.rpartition("//")[2] != parts.netloc or "@" in parts.netloc:
        return False
    for header in ("host", "x-forwarded-host"):
        found = HOST.fullmatch(headers.get(header, "").strip())
        if found is not None:
            port = found[2] or USUAL_PORTS[parts.scheme]
            if (found[1].strip("[]").lower(), port) == (own[0], str(own[1])):
                return True
    return False


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        if name.startswith("["):
            return ipaddress.IPv6Address(name[1:-1])
        return ipaddress.IPv4Address(name)
    except ValueError:
        return None
