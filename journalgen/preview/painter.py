"""Makes pictures while the pages that will show them are being looked at already."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from threading import Condition
from typing import Final

from journalgen.pictures import Fault, Interrupted, PicturesInterrupted, Request, prepare

_FIRST: Final = 8  # pictures that are made before pages are renewed; then twice as many each time
_MOST: Final = 64

Stamp = tuple[int, int]


class Painter:
    """Makes the pictures that it was last asked for, those of the newest photographs first."""

    def __init__(self, cache: Path, made: Callable[[], None]) -> None:
        """`made` is called, from the thread of `run`, whenever there are more pictures or faults."""
        self._cache = cache
        self._made = made
        self._wanted: tuple[Request, ...] = ()
        self._faults: dict[Request, tuple[Stamp | None, Fault]] = {}
        self._news = Condition()
        self._ended = False
        self.fault: str | None = None  # why it cannot go on

    def ask(self, requests: Sequence[Request]) -> None:
        """These are wanted, the last of them first, and no others any more."""
        with self._news:
            self._wanted = tuple(requests)
            self._news.notify_all()

    def faults(self) -> Mapping[Request, Fault]:
        """Why there is no picture of those of which none can be made, as long as they are as they were."""
        with self._news:
            return {request: fault for request, (was, fault) in self._faults.items() if was == _stamp(request.file)}

    def run(self) -> None:
        """Works until `end` is called from another thread."""
        many = _FIRST
        while True:
            with self._news:
                self._news.wait_for(lambda: self._wanted or self._ended)
                if self._ended:
                    return
                chosen, self._wanted = self._wanted[::-1][:many], self._wanted[:-many]
                many = min(2 * many, _MOST) if self._wanted else _FIRST
            try:
                self._paint(chosen)
                self.fault = None
            except PicturesInterrupted as fault:
                self.fault = str(fault)
                self.ask(())
            except Interrupted:
                return  # only `end` does that
            self._made()

    def _paint(self, requests: Sequence[Request]) -> None:
        before = {request: _stamp(request.file) for request in requests}
        prepared = prepare(requests, self._cache, progress=self._go_on)
        faults = {r: (before[r], answer) for r, answer in prepared.answers.items() if isinstance(answer, Fault)}
        with self._news:
            self._faults.update(faults)

    def _go_on(self, done: int, total: int) -> None:
        if self._ended:
            raise KeyboardInterrupt  # as from the keyboard: what is finished is kept

    def end(self) -> None:
        """Ends the run soon; what was finished is kept."""
        with self._news:
            self._ended = True
            self._news.notify_all()


def _stamp(file: str) -> Stamp | None:
    try:
        found = os.stat(file)
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns
