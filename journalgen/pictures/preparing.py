"""Answers requests for pictures: from the cache where it can, through the workshop where it must."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, field

from journalgen.beside import count_cores
from journalgen.pictures.index import Index
from journalgen.pictures.model import NOT_MADE, Fault, Interrupted, Picture, Refused, Request
from journalgen.pictures.recalling import Recalled, Seen
from journalgen.pictures.storing import Mark, key_of, name_files, sweep

if TYPE_CHECKING:
    from journalgen.pictures.making import Made, Task

Progress = Callable[[int, int], None]
"""Is told how many requests are answered, and of how many."""


class Prepared(Struct, frozen=True):
    """What came of it."""

    answers: dict[Request, Picture | Fault]
    written: frozenset[str]  # files of the cache that were made now
    marks: dict[Request, tuple[Mark, ...]] = field(default_factory=dict)  # of each picture's files


def look_up(requests: Sequence[Request], cache: Path) -> Prepared:
    """The pictures that are in the cache; of every other request a fault of the kind `not-made`. Reads no original."""
    index, answers, marks = Index(cache), dict[Request, Picture | Fault](), dict[Request, tuple[Mark, ...]]()
    for request in dict.fromkeys(requests):
        try:
            digest = index.known_digest(Path(request.file))
            stored = index.find(key_of(digest, request.hide)) if digest else None
            answers[request] = stored.picture if stored else Fault(NOT_MADE, "Its picture is not made yet.")
            if stored:
                marks[request] = stored.marks
        except Refused as refused:
            answers[request] = refused.fault
    return Prepared(answers, frozenset(), marks)


def prepare_again(
    requests: Sequence[Request],
    cache: Path,
    recalled: Recalled,
    seen: Seen,
    *,
    progress: Progress | None = None,
    trusting: bool,
    make: bool = True,
) -> Prepared:
    """As `prepare`, with what is recalled of the last time; that is brought up to date.

    For `seen` and `trusting` see there. Without `make` no photograph is read; for one that has no picture yet a
    fault of the kind `not-made` is given.
    """
    known = recalled.find(requests, cache, seen, trusting=trusting)
    rest = [request for request in dict.fromkeys(requests) if request not in known]
    if not rest:
        recalled.forget_all_but(requests)
        return Prepared(dict(known), frozenset())
    before = {request: status for request in rest if (status := _status(request.file))}
    prepared = prepare(rest, cache, progress=progress) if make else look_up(rest, cache)
    for request, status in before.items():
        answer, marks = prepared.answers[request], prepared.marks.get(request)
        if isinstance(answer, Picture) and marks:
            recalled.add(request, status, answer, marks)
    recalled.forget_all_but(requests)
    return Prepared({**known, **prepared.answers}, prepared.written)


def _status(file: str) -> os.stat_result | None:
    try:
        return os.stat(file)
    except (OSError, ValueError):
        return None


def prepare(
    requests: Sequence[Request], cache: Path, *, workers: int | None = None, progress: Progress | None = None
) -> Prepared:
    """The picture of every request, or the fault that stands in its way.

    Whatever is missing in `cache`, a folder that may be absent, is made; the names in a Picture are
    those of files in it. `workers` is the number of processes, by default one for every core.
    Raises PicturesInterrupted if the cache cannot be written or helper processes cannot be started, and
    Interrupted upon an interrupt from the keyboard. After either, what was finished is not made again.
    """
    preparation = _Preparation(requests, cache, progress)
    try:
        preparation.run(workers)
    except KeyboardInterrupt:
        raise Interrupted(preparation.count_kept()) from None
    finally:
        preparation.index.save()
    return Prepared(preparation.answers, frozenset(preparation.written), preparation.marks)


class _Preparation:
    def __init__(self, requests: Sequence[Request], cache: Path, progress: Progress | None) -> None:
        self.index = Index(cache)
        self.answers: dict[Request, Picture | Fault] = {}
        self._wanted = tuple(dict.fromkeys(requests))
        self._cache = cache
        self._progress = progress
        self._under_way: dict[str, list[Request]] = {}
        self._faults: dict[str, Fault] = {}
        self._made: set[str] = set()
        self.written: set[str] = set()
        self.marks: dict[Request, tuple[Mark, ...]] = {}

    def run(self, workers: int | None) -> None:
        missing = self._missing()
        first = next(missing, None)
        if first is None:
            return
        # Only now, since these bring in the decoders.
        from journalgen.pictures.workshop import work_through

        gc.enable()  # a ring that holds a picture must not wait for the end of the run
        sweep(self._cache)
        with closing(work_through(_put_back(first, missing), workers or count_cores())) as outcomes:
            for task, outcome in outcomes:
                self._take(task, outcome)

    def count_kept(self) -> int:
        """How many pictures were made, with those that helpers finished when nobody listened any more."""
        return len(self._made | {key for key in self._under_way if self.index.find(key) is not None})

    def _missing(self) -> Iterator[Task]:
        """The work that has to be done, once for every content; answers all other requests on the way."""
        for request in self._wanted:
            try:
                key = key_of(self.index.digest(Path(request.file)), request.hide)
            except Refused as refused:
                self._answer(request, refused.fault)
                continue
            if key in self._under_way:
                self._under_way[key].append(request)
            elif key in self._faults:
                self._answer(request, self._faults[key])
            elif stored := self.index.find(key):
                self.marks[request] = stored.marks
                self._answer(request, stored.picture)
            else:
                self._under_way[key] = [request]
                yield self._task(key, request)

    def _task(self, key: str, request: Request) -> Task:
        from journalgen.pictures.making import Task

        return Task(key, Path(request.file), request.hide, self._cache)

    def _take(self, task: Task, outcome: Made | Fault) -> None:
        if isinstance(outcome, Fault):
            self._faults[task.key] = outcome
            answer: Picture | Fault = outcome
        else:
            self._made.add(outcome.key)
            self.written.update(name_files(outcome.stored.picture))
            self.index.add(outcome.key, outcome.stored)
            answer = outcome.stored.picture
            if outcome.key != task.key:
                self.index.forget(task.file)
        for request in self._under_way.pop(task.key):
            if not isinstance(outcome, Fault):
                self.marks[request] = outcome.stored.marks
            self._answer(request, answer)

    def _answer(self, request: Request, answer: Picture | Fault) -> None:
        self.answers[request] = answer
        if self._progress:
            self._progress(len(self.answers), len(self._wanted))


def _put_back(first: Task, rest: Iterator[Task]) -> Iterator[Task]:
    yield first
    yield from rest
