"""Who is let in, and to what: real requests to a running preview."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import quote

import pytest

from tests.journals import write_journal
from tests.pictures.samples import corners
from tests.preview.running import Preview, raw, running

PRIVATE = "a spare key under the third brick"
FILES = {
    "entries/2024-03-09-etch.md": "---\ntitle: Etched the lever\nhours: 1\nparts: lever\n"
    "photos: [{file: lever.jpg, part: lever}]\n---\nIt came up well.\n",
    "entries/2024-03-10-private.md": f"---\ntitle: Where the key is\nprivate: yes\nhours: 1\n---\n{PRIVATE}\n",
    "register/parts.yaml": "lever: {}\n",
}


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Preview]:
    """Both editions of a journal with something private."""
    folder = write_journal(tmp_path_factory.mktemp("home") / "trolley", FILES)
    (folder / "photos").mkdir()
    corners(800, 600).save(folder / "photos" / "lever.jpg")
    (folder.parent / "outside.txt").write_text("not yours", encoding="utf-8")
    with running(folder, "--edition", "both", editions=2) as preview:
        preview.wait_for("/sessions/2024-03-09-etched-the-lever.html", "pictures/")
        yield preview


def test_pages_are_shown_with_their_types(shown: Preview) -> None:
    for path, kind in {
        "/": "text/html; charset=utf-8",
        "/index.html": "text/html; charset=utf-8",
        "/enamel.css": "text/css; charset=utf-8",
        "/enamel.js": "text/javascript; charset=utf-8",
        "/feed.atom": "application/atom+xml",
        "/data/journal.json": "application/json",
        "/data/hours.csv": "text/csv; charset=utf-8",
        "/.preview/preview.js": "text/javascript; charset=utf-8",
    }.items():
        status, headers, body = shown.get(path)
        assert (status, headers["content-type"]) == (200, kind), path
        assert body
        assert headers["x-content-type-options"] == "nosniff"
        assert "frame-ancestors 'none'" in headers["content-security-policy"]


def test_files_are_those_of_the_site_byte_for_byte(shown: Preview, tmp_path: Path) -> None:
    _, headers, whole = shown.get("/data/journal.json")
    assert shown.get("/data/journal.json", {"Range": "bytes=10-19"})[2] == whole[10:20]
    status, ranged, body = shown.get("/data/journal.json", {"Range": "bytes=-7"})
    assert (status, body, ranged["content-range"]) == (
        206,
        whole[-7:],
        f"bytes {len(whole) - 7}-{len(whole) - 1}/{len(whole)}",
    )
    assert shown.get("/data/journal.json", {"Range": f"bytes={len(whole)}-"})[0] == 416
    status, _, body = shown.get("/data/journal.json", {"If-None-Match": headers["etag"]})
    assert (status, body) == (304, b"")
    status, headed, body = shown.get("/data/journal.json", method="HEAD")
    assert (status, int(headed["content-length"]), body) == (200, len(whole), b"")


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "PROPFIND"])
def test_nothing_but_reading(shown: Preview, method: str) -> None:
    status, headers, _ = shown.get("/", method=method)
    assert (status, headers["allow"]) == (405, "GET, HEAD")


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", "127.0.0.1:{port}.evil.example",
             "localhost.evil.example:{port}", "[::1]:{port}", "0.0.0.0:{port}", "2130706433:{port}", ""],
)  # fmt: skip
def test_a_name_that_is_not_this_computers_own_is_turned_away(shown: Preview, host: str) -> None:
    status, _, body = shown.get("/", {"Host": host.format(port=shown.port)})
    assert status in (400, 421)
    assert b"trolley" not in body


@pytest.mark.parametrize("host", ["127.0.0.1:{port}", "localhost:{port}", "LOCALHOST:{port}"])
def test_its_own_names_are_let_in(shown: Preview, host: str) -> None:
    assert shown.get("/", {"Host": host.format(port=shown.port)})[0] == 200


def test_two_hosts_or_none_are_turned_away(shown: Preview) -> None:
    host = f"Host: 127.0.0.1:{shown.port}\r\n".encode()
    twice = raw(shown.port, b"GET / HTTP/1.1\r\n" + host + b"Host: evil.example\r\nConnection: close\r\n\r\n")
    assert twice.split(b" ", 2)[1] in (b"400", b"421")
    none = raw(shown.port, b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n")
    assert none.split(b" ", 2)[1] in (b"400", b"421")
    assert raw(shown.port, b"GET / HTTP/1.0\r\n\r\n").split(b" ", 2)[1] == b"421"
    absolute = f"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example:{shown.port}\r\nConnection: close\r\n\r\n"
    assert raw(shown.port, absolute.encode()).split(b" ", 2)[1] == b"421"


@pytest.mark.parametrize("sender", ["cross-site", "same-site"])
def test_another_site_may_lead_here_and_not_read(shown: Preview, sender: str) -> None:
    asked = {"Sec-Fetch-Site": sender, "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "script"}
    status, _, body = shown.get("/search-index.js", asked)
    assert (status, body) == (403, b"Another site may not read this preview.\n")
    assert shown.get("/.preview/news?page=index.html", asked | {"Sec-Fetch-Dest": "empty"})[0] == 403
    framed = {"Sec-Fetch-Site": sender, "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"}
    assert shown.get("/", framed)[0] == 403
    followed = {"Sec-Fetch-Site": sender, "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}
    assert shown.get("/", followed)[0] == 200


OUTSIDE = [
    "../outside.txt", "../../outside.txt", "../../../outside.txt", "../../../journal.toml", "../../../../outside.txt",
    "../public/index.html", "sessions/../../owner/index.html", "./index.html", "//index.html", "sessions//x.html",
    "..\\..\\outside.txt", "sessions/..\\..\\..\\outside.txt", "C:/outside.txt", "C:outside.txt", "index.html::$DATA",
    ".hidden", "sessions/.hidden", "index.html\0.jpg", "/etc/passwd", "~/outside.txt", "index.html/", "sessions/",
    "sessions",
]  # fmt: skip


@pytest.mark.parametrize("path", OUTSIDE)
@pytest.mark.parametrize("spelling", ["plain", "quoted", "quoted twice", "dots quoted", "overlong"])
def test_nothing_outside_of_the_site_and_no_listing(shown: Preview, path: str, spelling: str) -> None:
    spelt = {
        "plain": path.replace("\0", "%00").replace("\\", "%5c"),
        "quoted": quote(path, safe=""),
        "quoted twice": quote(quote(path, safe=""), safe=""),
        "dots quoted": path.replace("..", "%2e%2E").replace("\0", "%00").replace("\\", "%5C"),
        "overlong": path.replace("..", "%c0%ae%c0%ae").replace("\0", "%c0%80").replace("\\", "%5c"),
    }[spelling]
    status, _, body = shown.get(f"/{spelt}")
    assert status in (400, 404), (path, spelling)
    assert b"not yours" not in body
    assert b"root:" not in body
    assert b"home_currency" not in body


def test_the_editions_cannot_be_had_at_each_others_address(shown: Preview) -> None:
    owner, public = shown.ports
    page = "/sessions/2024-03-10-where-the-key-is.html"
    assert PRIVATE in shown.get(page, port=owner)[2].decode()
    assert shown.get(page, port=public)[0] == 404
    for path in (
        "/",
        "/search-index.js",
        "/data/journal.json",
        "/feed.atom",
        "/sessions.html",
        "/.preview/news?page=x",
    ):
        if not path.startswith("/.preview"):
            assert PRIVATE.encode() not in shown.get(path, port=public)[2], path
    assert shown.get(page, {"Host": f"127.0.0.1:{owner}"}, port=public)[0] == 421
    assert shown.get("/", {"Host": f"127.0.0.1:{public}"}, port=owner)[0] == 421


def test_what_is_not_there_is_the_sites_own_page_for_that(shown: Preview) -> None:
    status, headers, body = shown.get("/sessions/2019-01-01-never.html")
    assert (status, headers["content-type"]) == (404, "text/html; charset=utf-8")
    assert b".preview/preview.js" in body


def test_a_link_out_of_the_site_is_not_followed(shown: Preview, tmp_path: Path) -> None:
    site = next(Path(word) for word in shown.process.args if "trolley" in str(word))  # type: ignore[union-attr]
    (tmp_path / "secret.txt").write_text("not yours", encoding="utf-8")
    link = site / ".journalgen" / "preview" / "owner" / "leak.txt"
    link.symlink_to(tmp_path / "secret.txt")
    try:
        assert shown.get("/leak.txt")[0] == 404
    finally:
        link.unlink()


def test_huge_and_broken_requests_are_refused_and_the_server_lives(shown: Preview) -> None:
    for request in (
        b"GET /" + b"a" * 200_000 + b" HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + b"X: " + b"b" * 200_000 + b"\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\r\n\r\n\r\n",
        b"GET /%%ff%%fe HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\n\r\n" % shown.port,
        b"GET /\xff\xfe HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\n\r\n" % shown.port,
    ):
        try:
            answer = raw(shown.port, request)
        except (ConnectionError, TimeoutError):
            answer = b""
        assert not answer or answer.split(b" ", 2)[1] in (b"400", b"404", b"414", b"421", b"431"), request[:40]
    assert shown.get("/")[0] == 200


def test_silent_and_slow_connections_are_let_go_and_keep_nobody_out(shown: Preview) -> None:
    with ExitStack() as stack:
        lines = [stack.enter_context(socket.create_connection(("127.0.0.1", shown.port), 30)) for _ in range(500)]
        for line in lines[:250]:
            line.sendall(b"GET / HTTP/1.1\r\nX-Slow: ")
        begun = time.monotonic()
        assert shown.get("/")[0] == 200
        assert time.monotonic() - begun < 9  # before the first of them is let go
        for line in lines[:5]:
            line.sendall(b"still talking")
        assert [line.recv(1) for line in lines] == [b""] * len(lines)
        assert time.monotonic() - begun < 60
    assert shown.get("/")[0] == 200
