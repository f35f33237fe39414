"""What a store is to tell browsers of a file: what it is, and how long they may keep it."""

from __future__ import annotations

from typing import Final

_TYPES: Final = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".csv": "text/csv; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".xml": "application/xml",
    ".atom": "application/atom+xml",
    ".ics": "text/calendar; charset=utf-8",
    ".svg": "image/svg+xml",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".png": "image/png",
    ".gif": "image/gif",
    ".webp": "image/webp",
    ".avif": "image/avif",
    ".ico": "image/vnd.microsoft.icon",
    ".woff2": "font/woff2",
    ".pdf": "application/pdf",
}
"""IANA media types; the system's own table differs from one computer to the next."""

_UNKNOWN: Final = "application/octet-stream"
_FOR_EVER: Final = "public, max-age=31536000, immutable"
_ASK_FIRST: Final = "no-cache"
_HASHED: Final = "pictures/"


def headers_of(name: str) -> dict[str, str]:
    """By the names that S3 gives them. A picture's name tells what it holds, so it never changes under that name."""
    ending = name[name.rfind(".") :].lower() if "." in name.rpartition("/")[2] else ""
    cache = _FOR_EVER if name.startswith(_HASHED) else _ASK_FIRST
    return {"ContentType": _TYPES.get(ending, _UNKNOWN), "CacheControl": cache}
