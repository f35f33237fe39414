"""Answers browsers: the files of one edition for each port, to this computer alone, and the news of them.

What is private is shown here. So no other site that is open in the same browser may read along: a name other
than this computer's own is turned away, and whatever another site asks for except a link to follow.
"""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Mapping
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Final
from urllib.parse import parse_qs

import msgspec
from starlette.responses import FileResponse, Response, StreamingResponse
from starlette.types import Receive, Scope, Send

from journalgen.preview.news import Bulletin, News

OWN: Final = ".preview/"
"""Where the preview's own files lie; no name in a site begins with a dot."""

TYPES: Final[Mapping[str, str]] = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".csv": "text/csv; charset=utf-8",
    ".atom": "application/atom+xml",
    ".xml": "application/xml",
    ".ics": "text/calendar; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".md": "text/plain; charset=utf-8",
    ".svg": "image/svg+xml",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".png": "image/png",
    ".webp": "image/webp",
    ".avif": "image/avif",
    ".ico": "image/vnd.microsoft.icon",
    ".woff2": "font/woff2",
    ".pdf": "application/pdf",
    ".mp4": "video/mp4",
}
"""By the ending of a name. Of the operating system's own list nobody knows what stands in it."""

_UNKNOWN: Final = "application/octet-stream"
_HEADERS: Final[Mapping[str, str]] = {
    "Cache-Control": "no-cache",
    "Content-Security-Policy": "default-src 'none'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
    "script-src 'self'; connect-src 'self'; font-src 'self'; media-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
_POLICY: Final = re.compile(rb"<meta http-equiv=\"Content-Security-Policy\"[^>]*>", re.IGNORECASE)
_HEAD_ENDS: Final = re.compile(rb"</head>", re.IGNORECASE)
_NOTHING_YET: Final = (
    "<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'><meta name='viewport' "
    "content='width=device-width'><meta name='color-scheme' content='light dark'><title>No page yet</title></head>"
    "<body style='font: 1.1rem/1.5 sans-serif; margin: 3rem'><p>{}</p></body></html>"
)


class Refusal(Exception):
    """A request that is not answered as it would like."""

    def __init__(self, status: int, message: str, headers: Mapping[str, str] | None = None) -> None:
        super().__init__(message)
        self.status = status
        self.headers = headers or {}


class Door:
    """The application: `editions` are the folders of the sites, by the port under which each is shown."""

    def __init__(self, editions: Mapping[int, Path], news: News) -> None:
        self._editions = editions
        self._news = news
        own = files(__package__)
        self._script = own.joinpath("preview.js").read_bytes()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, by the rules of ASGI."""
        if scope["type"] != "http":
            return
        try:
            response = self._answer(scope)
        except Refusal as refusal:
            text = f"{refusal}\n"
            response = Response(text, refusal.status, {**_HEADERS, **refusal.headers}, TYPES[".txt"])
        await response(scope, receive, send)

    def _answer(self, scope: Scope) -> Response:
        headers = [(name.decode("latin-1").lower(), value.decode("latin-1")) for name, value in scope["headers"]]
        port = (scope.get("server") or ("", 0))[1]
        site = self._editions.get(port)
        if site is None:
            raise Refusal(421, "Nothing is shown at this port.")
        _check_host([value for name, value in headers if name == "host"], port)
        known = dict(headers)
        _check_sender(known)
        if scope["method"] not in ("GET", "HEAD"):
            raise Refusal(405, "Pages can be read here, and nothing else.", {"Allow": "GET, HEAD"})
        path = scope["path"].removeprefix("/")
        if path == f"{OWN}preview.js":
            return Response(self._script, 200, _HEADERS, TYPES[".js"])
        if path == f"{OWN}news":
            return self._follow(site.name, parse_qs(scope["query_string"].decode("latin-1")))
        return self._file(site, path, known)

    def _file(self, site: Path, path: str, headers: Mapping[str, str]) -> Response:
        name = f"{path}index.html" if path == "" else path
        found, status = find_file(site, name), 200
        if found is None:
            name, found, status = "404.html", find_file(site, "404.html"), 404
        if found is None:
            return self._nothing_yet(path)
        kind = TYPES.get(found.suffix.lower(), _UNKNOWN)
        if found.suffix == ".html":
            try:
                page = found.read_bytes()
            except OSError:  # swapped away just now
                raise Refusal(503, "Just a moment.", {"Retry-After": "1"}) from None
            return Response(self._with_script(page, name if status == 200 else path), status, _HEADERS, kind)
        response = FileResponse(found, status, _HEADERS, kind, stat_result=found.stat())
        if headers.get("if-none-match") == response.headers["etag"]:
            return Response(None, 304, {**_HEADERS, "ETag": response.headers["etag"]})
        return response

    def _nothing_yet(self, path: str) -> Response:
        text = "The first page is being made." if not self._news.problems else "There is no page yet."
        page = self._with_script(_NOTHING_YET.format(escape(text)).encode(), path or "index.html")
        return Response(page, 404, _HEADERS, TYPES[".html"])

    def _with_script(self, page: bytes, file: str) -> bytes:
        """A page that follows the news of itself. Its own policy gives way to the header's, which lets it."""
        told = {"page": file, "run": self._news.run, "since": str(self._news.serial)}
        data = " ".join(f'data-{name}="{escape(value)}"' for name, value in told.items())
        tag = f'<script src="/{OWN}preview.js" {data} defer></script>'.encode()
        page = _POLICY.sub(b"", page, count=1)
        ends = _HEAD_ENDS.search(page)
        at = ends.start() if ends else len(page)
        return page[:at] + tag + page[at:]

    def _follow(self, edition: str, asked: Mapping[str, list[str]]) -> Response:
        page, run, since = (asked.get(name, [""])[0] for name in ("page", "run", "since"))
        bulletins = self._news.follow(edition, page, run, int(since) if since.isdecimal() else 0)
        return StreamingResponse(_spell(bulletins), 200, _HEADERS, "text/event-stream")


async def _spell(bulletins: AsyncIterator[Bulletin | None]) -> AsyncIterator[bytes]:
    """The news as server-sent events."""
    async for bulletin in bulletins:
        yield b": still here\n\n" if bulletin is None else b"data: " + msgspec.json.encode(bulletin) + b"\n\n"


def find_file(site: Path, name: str) -> Path | None:
    """The file of a site; None for what is none, is hidden, or lies elsewhere."""
    parts = name.split("/")
    if any(part == "" or part.startswith(".") or "\\" in part or ":" in part or "\0" in part for part in parts):
        return None
    file = site.joinpath(*parts)
    try:
        return file if file.is_file() and file.resolve().is_relative_to(site.resolve()) else None
    except (OSError, ValueError):
        return None


def _check_host(hosts: list[str], port: int) -> None:
    """A name that somebody else gave this computer, to read what it shows to itself, is turned away."""
    names = {f"{name}:{port}" for name in ("127.0.0.1", "localhost")}
    names |= {"127.0.0.1", "localhost"} if port == 80 else set()
    if len(hosts) != 1 or hosts[0].lower() not in names:
        raise Refusal(421, "This preview is for this computer alone; ask for it as 127.0.0.1.")


def _check_sender(headers: Mapping[str, str]) -> None:
    """Browsers say which site a request comes from. Another may lead here by a link, and do no more."""
    sender = headers.get("sec-fetch-site", "none")
    if sender in ("same-origin", "none"):
        return
    if headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document":
        return
    raise Refusal(403, "Another site may not read this preview.")
