"""Spreads work over helper processes, one a core, and outlives the loss of any of them."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from concurrent.futures.process import BrokenProcessPool
from itertools import chain
from typing import Final

from journalgen.pictures.helpers import Helpers
from journalgen.pictures.making import Made, Task, make
from journalgen.pictures.model import BROKEN, Fault, PicturesInterrupted

_NO_HELPERS: Final = "Helper processes cannot be started, so no pictures were made; what was finished is kept."
_DEADLY: Final = "The picture cannot be decoded: the process that tried was ended, and ended again when it was alone."


def work_through(tasks: Iterator[Task], workers: int) -> Generator[tuple[Task, Made | Fault], None, None]:
    """Every task with its outcome, as each is finished; `tasks` is drawn from only as fast as the work goes.

    Close the iterator when leaving early: what helpers have in hand they may finish if they are quick, the
    rest is not begun.
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
        self._running: dict[Future[Made | Fault], Task] = {}

    def work(self) -> Iterator[tuple[Task, Made | Fault]]:
        while True:
            with Helpers(self._workers) as helpers:
                if not helpers.try_one():
                    raise PicturesInterrupted(_NO_HELPERS)
                yield from self._work_with(helpers)
                if not self._running:
                    return
            # One lost helper takes the whole pool with it, and nothing tells which original it had in hand.
            # Each that was under way is tried by itself, so that at most the guilty one stays without a picture.
            suspects = list(self._running.values())
            self._running.clear()
            for task in suspects:
                yield task, _make_alone(task)

    def _work_with(self, helpers: Helpers) -> Iterator[tuple[Task, Made | Fault]]:
        """Until nothing is left, or a helper was lost and something is."""
        try:
            while self._hand_out(helpers):
                finished, _ = wait(self._running, return_when=FIRST_COMPLETED)
                for future in finished:
                    if isinstance(future.exception(), BrokenProcessPool):
                        return
                    yield self._running.pop(future), future.result()
        except BaseException:
            helpers.send_home({task.cache for task in self._running.values()})
            raise

    def _hand_out(self, helpers: Helpers) -> bool:
        """Keeps a short queue before the helpers; False when there is nothing left to wait for."""
        while len(self._running) < 2 * self._workers:
            task = next(self._tasks, None)
            if task is None:
                break
            self._running[_submit(helpers, task)] = task
        return bool(self._running)


def _submit(helpers: Helpers, task: Task) -> Future[Made | Fault]:
    try:
        return helpers.submit(make, task)
    except BrokenProcessPool as lost:
        # Found out before waiting did: the task joins those that were under way.
        future: Future[Made | Fault] = Future()
        future.set_exception(lost)
        return future


def _make_alone(task: Task) -> Made | Fault:
    with Helpers(1) as helper:
        if not helper.try_one():
            raise PicturesInterrupted(_NO_HELPERS)
        try:
            return helper.submit(make, task).result()
        except BrokenProcessPool:
            return Fault(BROKEN, _DEADLY)
        except BaseException:
            helper.send_home({task.cache})
            raise
