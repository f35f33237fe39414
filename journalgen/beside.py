"""Work done beside other work, by a copy of this process, where the system can make one safely."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Final

_ON_PARENTS_DEATH: Final = 1  # as prctl.h of Linux has it


def count_cores() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


class Beside:
    """Work that was begun, and how to come by its outcome."""

    def __init__(self, copy: int, line: int) -> None:
        self._copy: int | None = copy
        self._line = line

    def wait(self) -> bytes | None:
        """The outcome; None where the work failed: then it is to be done here, where whatever is wrong shows."""
        if self._copy is None:
            return None
        with open(self._line, "rb", closefd=False) as line:
            outcome = line.read()
        status = _status_of(self._copy)
        self._copy = None
        os.close(self._line)
        return outcome if status == 0 else None

    def end(self) -> None:
        """Ends it, if nobody waited for it."""
        if self._copy is not None:
            with suppress(ProcessLookupError):
                os.kill(self._copy, 9)
            _status_of(self._copy)
            self._copy = None
            os.close(self._line)


def _status_of(copy: int) -> int | None:
    """How a copy ended; None where that is told to nobody, since whoever called this program ignores its children."""
    try:
        return os.waitpid(copy, 0)[1]
    except ChildProcessError:
        return None


def begin(work: Callable[[], bytes]) -> Beside | None:
    """Begins the work, which must change nothing but files; None where no copy can be made.

    It ends with this process, if nobody waits for it nor ends it before.
    """
    if not _can_copy():
        return None
    receives, sends = os.pipe()
    caller = os.getpid()
    # The copy never hears of an interrupt, which would lead it out of its work and back into all that called for it.
    held = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        copy = os.fork()
        if copy == 0:
            _be_copy(work, receives, sends, caller)
    except OSError:  # there are as many processes as there may be, or there is no room for one more
        os.close(receives)
        return None
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, held)
        os.close(sends)
    return Beside(copy, receives)


@contextmanager
def beside(work: Callable[[], bytes]) -> Iterator[Callable[[], bytes | None]]:
    """Has the work done while the body of the context does something else.

    The body is given a function that waits for the outcome: the bytes, or None where no copy could be
    made or its work failed.
    """
    begun = begin(work)
    if begun is None:
        yield lambda: None
        return
    try:
        yield begun.wait
    finally:
        begun.end()


def _can_copy() -> bool:
    # A copy has none of the other threads, and their locks as they stand; on systems but Linux libraries start some.
    return sys.platform == "linux" and threading.active_count() == 1 and count_cores() > 1


def _be_copy(work: Callable[[], bytes], receives: int, sends: int, caller: int) -> None:
    """Nothing of what the caller has begun is ended or said here: only the work, and whether it was done."""
    status = 1
    try:
        os.close(receives)
        _end_with(caller)
        outcome = work()
        with open(sends, "wb") as line:
            line.write(outcome)
        status = 0
    finally:
        os._exit(status)


def _end_with(caller: int) -> None:
    """Has the system end this copy if the caller is killed: it holds what the caller held."""
    import ctypes

    ctypes.CDLL(None).prctl(_ON_PARENTS_DEATH, 9)
    if os.getppid() != caller:
        os._exit(1)
