"""A preview that runs as a process of its own, and what is asked of it over real connections."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

HOUSE: Final = Path(__file__).parents[2]
PATIENCE: Final = 90.0  # seconds, on a machine that has much else to do


@dataclass
class Preview:
    """A running preview: the address of each edition that it shows, and what it said to people."""

    process: subprocess.Popen[str]
    ports: list[int] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    @property
    def port(self) -> int:
        return self.ports[0]

    def get(
        self, path: str, headers: Mapping[str, str] | None = None, method: str = "GET", port: int | None = None
    ) -> tuple[int, dict[str, str], bytes]:
        """Status, headers and body; the path goes over the line as it is."""
        line = http.client.HTTPConnection("127.0.0.1", port or self.port, timeout=PATIENCE)
        line.putrequest(method, path, skip_host="Host" in (headers or {}), skip_accept_encoding=True)
        for name, value in (headers or {}).items():
            line.putheader(name, value)
        line.endheaders()
        answer = line.getresponse()
        found = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
        line.close()
        return found

    def page(self, path: str = "/") -> str:
        status, _, body = self.get(path)
        assert status == 200, (status, path)
        return body.decode()

    def wait_for(self, path: str, text: str, patience: float = PATIENCE) -> str:
        """The page as soon as it says something."""
        end = time.monotonic() + patience
        while True:
            status, _, body = self.get(path)
            if status == 200 and text in body.decode():
                return body.decode()
            assert time.monotonic() < end, f"{path} never said {text!r}; the preview said: {self.said}"
            time.sleep(0.05)

    def wait_until_said(self, text: str) -> None:
        end = time.monotonic() + PATIENCE
        while not any(text in line for line in self.said):
            assert time.monotonic() < end, f"{text!r} was never said, but: {self.said}"
            time.sleep(0.02)

    def wait_for_turn(self, before: int) -> None:
        """Until something was said of a change, where `before` things had been said already."""
        end = time.monotonic() + PATIENCE
        while len(self.said) <= before:
            assert time.monotonic() < end, self.said
            time.sleep(0.02)

    @contextmanager
    def news(self, page: str, since: int = 10**9, run: str = "") -> Iterator[News]:
        """The news of a page as a browser hears them."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        run = run or mark_of(self.page())["run"]
        line.request("GET", f"/.preview/news?page={page}&run={run}&since={since}")
        answer = line.getresponse()
        assert answer.status == 200
        assert answer.getheader("content-type", "").startswith("text/event-stream")
        try:
            yield News(answer)
        finally:
            line.close()


@dataclass
class News:
    """Bulletins as they come."""

    answer: http.client.HTTPResponse

    def next(self) -> dict[str, Any]:
        while True:
            line = self.answer.readline().decode()
            assert line, "the line was closed"
            if line.startswith("data: "):
                found: dict[str, Any] = json.loads(line.removeprefix("data: "))
                return found

    def until(self, what: str, wanted: object = True) -> dict[str, Any]:
        """The first bulletin of which something is so, or is there at all."""
        while True:
            bulletin = self.next()
            if bulletin[what] == wanted or (wanted is True and bulletin[what]):
                return bulletin


def mark_of(page: str) -> dict[str, str]:
    """What a page is told about itself."""
    return dict(re.findall(r'data-(page|run|since)="([^"]*)"', page))


@contextmanager
def running(journal: Path, *words: str, editions: int = 1, program: tuple[str, ...] = ()) -> Iterator[Preview]:
    """A preview of a journal, which is interrupted at the end if it still runs."""
    process = subprocess.Popen(
        [*(program or (sys.executable, "-m", "journalgen")), "preview", str(journal), "--on", "2025-09-30", *words],
        env={**os.environ, "PYTHONPATH": str(HOUSE), "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    shown = Preview(process)
    hearing = threading.Thread(target=_hear, args=(process, shown.said), daemon=True)
    try:
        assert process.stdout is not None
        for _ in range(editions):
            address = process.stdout.readline()
            assert address.startswith("http://127.0.0.1:"), process.communicate()
            shown.ports.append(int(address.rsplit(":", 1)[1].strip().strip("/")))
        hearing.start()
        yield shown
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        try:
            process.wait(PATIENCE)
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
            if hearing.is_alive():
                hearing.join(PATIENCE)
            for pipe in (process.stdout, process.stderr):
                if pipe is not None:
                    pipe.close()


def _hear(process: subprocess.Popen[str], said: list[str]) -> None:
    assert process.stderr is not None
    for line in process.stderr:
        said.append(line.rstrip("\n"))


def raw(port: int, request: bytes) -> bytes:
    """What comes back for bytes that no client would send."""
    with socket.create_connection(("127.0.0.1", port), PATIENCE) as line:
        line.sendall(request)
        found = b""
        while piece := line.recv(65536):
            found += piece
    return found
