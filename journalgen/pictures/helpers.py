"""Processes that work for this one, and that are gone when it is done with them, however that comes about."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.connection import Connection
from pathlib import Path
from types import TracebackType
from typing import Any, Final, TypeVar

from journalgen.whole import UNFINISHED

_R = TypeVar("_R")

_GRACE: Final = 0.5
"""Seconds in which a helper that is sent home may finish what it has in hand. A photograph of twelve megapixels
takes about as long, and whoever interrupts the program is not to wait for more than one second."""

_MMAP_THRESHOLD: Final = -3  # as malloc.h of the GNU C library has them
_TRIM_THRESHOLD: Final = -1
_LARGE: Final = 32 * 1024 * 1024
"""Bytes; the most that can be asked for, and twice what a twelve-megapixel photograph takes in one piece."""
_KEPT: Final = 256 * 1024 * 1024
"""Bytes; above that memory is given back, so that one huge picture is not paid for until the end."""


class Helpers:
    """A number of helper processes, started as they are needed; a context that ends them."""

    def __init__(self, number: int) -> None:
        # Spawned, not forked: the caller may have threads, and a fork copies their locks as they stand.
        context = multiprocessing.get_context("spawn")
        self._others = set(multiprocessing.active_children())
        # Nothing is ever sent: that the line is closed is what the helpers hear. Unlike an event it has no lock
        # that a helper which is killed could take with it.
        self._heard, self._line = context.Pipe(duplex=False)
        self._pool = ProcessPoolExecutor(number, mp_context=context, initializer=_begin_helper, initargs=(self._heard,))
        self._ending: threading.Thread | None = None  # shuts the pool, which two must not do at once

    def submit(self, work: Callable[..., _R], *args: Any) -> Future[_R]:
        """Has a helper do it. Raises BrokenProcessPool if one was lost."""
        with _interrupts_held_back():
            return self._pool.submit(_unless_sent_home, work, *args)

    def try_one(self) -> bool:
        """Whether a first helper can be started and lives; to be asked before anything is submitted.

        Where one dies while another is being started, the pool's own thread may stumble over its list of them.
        """
        try:
            self.submit(os.getpid).result()
        except BrokenProcessPool:
            return False
        return True

    def __enter__(self) -> Helpers:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._ending is None:
            self._pool.shutdown(wait=True, cancel_futures=True)
        else:
            self._ending.join()
        self._line.close()
        self._heard.close()

    def send_home(self, folders: Iterable[Path]) -> None:
        """Ends the helpers soon: what is queued is not begun, and who takes long over what is in hand is stopped.

        What such a one left half-written in the folders is taken away.
        """
        self._line.close()
        ending = threading.Thread(target=self._pool.shutdown, kwargs={"wait": True, "cancel_futures": True})
        self._ending = ending
        ending.start()
        try:
            ending.join(_GRACE)
        finally:  # at once, if another interrupt comes meanwhile
            stopped = [child for child in multiprocessing.active_children() if child not in self._others]
            for child in stopped:
                child.terminate()
            ending.join()
            for folder in folders:
                for child in stopped:
                    for file in folder.glob(f".*.{child.pid}{UNFINISHED}"):
                        file.unlink(missing_ok=True)


@contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """Helpers that are started meanwhile never see an interrupt, not even before `_begin_helper` runs.

    Theirs stays held back for good; the parent's own is delivered a moment later, and not lost.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


_line: Connection | None = None  # of a helper to its parent; its work comes through a queue, which carries none


def _begin_helper(line: Connection) -> None:
    global _line
    _line = line
    _keep_memory()
    # The parent decides what an interrupt means.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _keep_memory() -> None:
    """Lets a helper use the memory of one picture again for the next, where the C library can be told to.

    Else it goes back to the system each time and comes again page by page, a fifteenth of a helper's time.
    """
    library = ctypes.CDLL(None) if sys.platform == "linux" else None
    if library is not None and hasattr(library, "mallopt"):
        library.mallopt(_MMAP_THRESHOLD, _LARGE)
        library.mallopt(_TRIM_THRESHOLD, _KEPT)


def _unless_sent_home(work: Callable[..., _R], *args: Any) -> _R:
    if _line is not None and _line.poll():
        raise InterruptedError  # nobody waits for it any more
    return work(*args)


def _end_with_parent() -> None:
    # A parent that was killed cannot send its helpers home, and they would wait for ever.
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
