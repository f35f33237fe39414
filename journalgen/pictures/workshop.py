"""Spreads work over helper processes, one a core, and outlives the loss of any of them."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Generator, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import chain
from typing import Final

from journalgen.pictures.making import Made, Task, make
from journalgen.pictures.model import BROKEN, Fault, PicturesInterrupted

_NO_HELPERS: Final = "Helper processes cannot be started, so no pictures were made; what was finished is kept."
_DEADLY: Final = "The picture cannot be decoded: the process that tried was ended, and ended again when it was alone."


def count_cores() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def work_through(tasks: Iterator[Task], workers: int) -> Generator[tuple[Task, Made | Fault], None, None]:
    """Every task with its outcome, as each is finished; `tasks` is drawn from only as fast as the work goes.

    Close the iterator when leaving early: what is under way is then finished, the rest is not begun.
    Raises PicturesInterrupted if the cache cannot be written or no helper process will run.
    """
    first = next(tasks, None)
    if first is None:
        return
    second = next(tasks, None) if workers > 1 else None
    if second is None:  # starting processes would take longer than the work
        for task in chain((first,), tasks):
            yield task, make(task)
        return
    yield from _Crew(chain((first, second), tasks), workers).work()


class _Crew:
    def __init__(self, tasks: Iterator[Task], workers: int) -> None:
        self._tasks = tasks
        self._workers = workers
        self._pool = _open_pool(workers)
        self._running: dict[Future[Made | Fault], Task] = {}

    def work(self) -> Iterator[tuple[Task, Made | Fault]]:
        try:
            while self._hand_out():
                finished, _ = wait(self._running, return_when=FIRST_COMPLETED)
                for future in finished:
                    if isinstance(future.exception(), BrokenProcessPool):
                        break
                    yield self._running.pop(future), future.result()
                else:
                    continue
                yield from self._go_through_suspects()
        finally:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def _hand_out(self) -> bool:
        """Keeps a short queue before the helpers; False when there is nothing left to wait for."""
        while len(self._running) < 2 * self._workers:
            task = next(self._tasks, None)
            if task is None:
                break
            self._running[self._submit(task)] = task
        return bool(self._running)

    def _submit(self, task: Task) -> Future[Made | Fault]:
        try:
            with _interrupts_held_back():
                return self._pool.submit(make, task)
        except BrokenProcessPool as lost:
            # Found out before waiting did: the task joins those that were under way.
            future: Future[Made | Fault] = Future()
            future.set_exception(lost)
            return future

    def _go_through_suspects(self) -> Iterator[tuple[Task, Made | Fault]]:
        # One lost helper takes the whole pool with it, and nothing tells which original it had in hand.
        # Each that was under way is tried by itself, so that at most the guilty one stays without a picture.
        self._pool.shutdown(wait=True, cancel_futures=True)
        suspects = list(self._running.values())
        self._running.clear()
        for task in suspects:
            yield task, _make_alone(task)
        self._pool = _open_pool(self._workers)


def _make_alone(task: Task) -> Made | Fault:
    with _open_pool(1) as pool:
        try:
            with _interrupts_held_back():
                first = pool.submit(os.getpid)
            first.result()
        except BrokenProcessPool:
            raise PicturesInterrupted(_NO_HELPERS) from None
        try:
            return pool.submit(make, task).result()
        except BrokenProcessPool:
            return Fault(BROKEN, _DEADLY)


def _open_pool(workers: int) -> ProcessPoolExecutor:
    # Spawned, not forked: the caller may have threads, and a fork copies their locks as they stand.
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, mp_context=context, initializer=_begin_helper)


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


def _begin_helper() -> None:
    # The parent decides what an interrupt means; a helper finishes what it has in hand.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    # A parent that was killed cannot send its helpers home, and they would wait for ever.
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
