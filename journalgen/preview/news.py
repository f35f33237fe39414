"""What browsers are to know: which files changed and when, what is wrong, how many pictures are still to come."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import AsyncIterator, Iterable, Mapping
from threading import Lock
from typing import Final

from msgspec import Struct, field

_ALIVE: Final = 15.0  # seconds after which a browser hears something in any case


class SourceLine(Struct, frozen=True):
    """A line of a file that a problem lies in, or beside."""

    number: int
    text: str
    faulty: bool


class Shown(Struct, frozen=True):
    """A problem as it is shown over the page."""

    file: str
    line: int
    message: str
    remedy: str
    source: tuple[SourceLine, ...] = ()


class Bulletin(Struct, frozen=True):
    """What one page is told."""

    serial: int  # of the newest change that it knows by now
    stale: bool  # whether the page itself is another by now
    files: tuple[str, ...]  # stylesheets and scripts that are others
    problems: tuple[Shown, ...]
    pictures: int  # photographs whose pictures are still to be made


class _State(Struct):
    serial: int = 0
    changed: dict[str, dict[str, int]] = field(default_factory=dict)  # by edition and file: the serial of the change
    problems: tuple[Shown, ...] = ()
    pictures: int = 0


class News:
    """Told by the thread that renews the site, asked by the one that answers browsers."""

    def __init__(self) -> None:
        self.run = secrets.token_hex(8)  # a page of an earlier preview is stale whatever its serial
        self._state = _State()
        self._lock = Lock()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._waiting: set[asyncio.Event] = set()
        self._ended = False

    def attach(self, loop: asyncio.AbstractEventLoop) -> None:
        """Names the loop in which browsers wait."""
        self._loop = loop

    @property
    def serial(self) -> int:
        """Of the newest change."""
        return self._state.serial

    @property
    def problems(self) -> tuple[Shown, ...]:
        """What is wrong now."""
        return self._state.problems

    def tell(
        self,
        changed: Mapping[str, Iterable[str]] | None = None,
        problems: tuple[Shown, ...] | None = None,
        pictures: int | None = None,
    ) -> None:
        """Passes on what is new: changed files by edition, all problems there are, all pictures to come."""
        with self._lock:
            state = self._state
            state.serial += 1
            for edition, files in (changed or {}).items():
                state.changed.setdefault(edition, {}).update(dict.fromkeys(files, state.serial))
            state.problems = state.problems if problems is None else problems
            state.pictures = state.pictures if pictures is None else pictures
        self._wake()

    def end(self) -> None:
        """Lets every browser go."""
        self._ended = True
        self._wake()

    def _wake(self) -> None:
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._wake_all)

    def _wake_all(self) -> None:
        for event in self._waiting:
            event.set()

    def bulletin(self, edition: str, page: str, run: str, since: int) -> Bulletin:
        """What a page, a file of an edition, has to know that was made when `since` was the newest change."""
        with self._lock:
            state = self._state
            newer = {file for file, serial in state.changed.get(edition, {}).items() if serial > since}
            return Bulletin(
                serial=state.serial,
                stale=run != self.run or page in newer,
                files=tuple(sorted(file for file in newer if file.endswith((".css", ".js")))),
                problems=state.problems,
                pictures=state.pictures,
            )

    async def follow(self, edition: str, page: str, run: str, since: int) -> AsyncIterator[Bulletin | None]:
        """A bulletin now and at every change; None where there is nothing to say but that somebody is here."""
        event = asyncio.Event()
        self._waiting.add(event)
        try:
            while not self._ended:
                event.clear()
                bulletin = self.bulletin(edition, page, run, since)
                yield bulletin
                since = bulletin.serial
                while not self._ended:
                    try:
                        await asyncio.wait_for(event.wait(), _ALIVE)
                        break
                    except TimeoutError:
                        yield None
        finally:
            self._waiting.discard(event)
