"""Work done beside other work, by a copy of this process, where the system can make one safely."""

from __future__ import annotations

import os
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


@contextmanager
def beside(work: Callable[[], bytes]) -> Iterator[Callable[[], bytes | None]]:
    """Begins the work, which must change nothing but files, while the body of the context does something else.

    The body is given a function that waits for the outcome: the bytes, or None where no copy could be
    made or its work failed. Then it is to be done here, where whatever is wrong with it shows.
    """
    if not _can_copy():
        yield lambda: None
        return
    receives, sends = os.pipe()
    caller = os.getpid()
    copy = os.fork()
    if copy == 0:
        _be_copy(work, receives, sends, caller)
    os.close(sends)
    ended = False

    def wait() -> bytes | None:
        nonlocal ended
        with open(receives, "rb", closefd=False) as line:
            outcome = line.read()
        _, status = os.waitpid(copy, 0)
        ended = True
        return outcome if status == 0 else None

    try:
        yield wait
    finally:
        os.close(receives)
        if not ended:
            with suppress(ProcessLookupError):
                os.kill(copy, 9)
            os.waitpid(copy, 0)


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
