"""Carries out a plan: step by step, with the manifest there kept true, and again after a dropped line."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final, TypeVar

from msgspec import Struct, field

from journalgen.digests import digest_of
from journalgen.outside.publishing import manifest as manifests
from journalgen.outside.publishing.faults import CannotPublish, Dropped
from journalgen.outside.publishing.holding import Hold
from journalgen.outside.publishing.manifest import Manifest
from journalgen.outside.publishing.plan import PHASES, REMOVE, Plan, Step, after_steps, before_phase
from journalgen.outside.publishing.store import Store

Progress = Callable[[int, int], None]
"""Told how many bytes are sent, and of how many."""

Result = TypeVar("Result")

ATTEMPTS: Final = 7
"""How often the same thing is tried before the line counts as lost for good."""

_AT_FIRST: Final = 3  # where there never was a line
_LONGEST: Final = 30.0  # seconds between two attempts
_NOTED: Final = 20.0  # seconds, or
_NOTED_BYTES: Final = 32_000_000  # bytes, after which the manifest is brought up to date


class Patience(Struct, frozen=True):
    """How attempts are spaced: twice as long each time, and never quite alike."""

    sleep: Callable[[float], None] = time.sleep
    chance: Callable[[], float] = random.random
    say: Callable[[str], None] = lambda text: None

    def wait(self, attempt: int, why: str) -> None:
        """Waits after the attempt of this number, from 1."""
        seconds = min(_LONGEST, 2.0 ** (attempt - 1)) * (0.5 + self.chance() / 2)
        self.say(f"The line was lost ({why}). Trying again in {seconds:.0f} s ...")
        self.sleep(seconds)


def insist(store: Store, work: Callable[[], Result], patience: Patience) -> Result:
    """What `work` gives, tried again after a dropped line. Raises CannotPublish when that does not help either."""
    attempt = 1
    while True:
        try:
            return work()
        except Dropped as fault:
            store.drop()
            why = store.masked(str(fault))
            if attempt >= (ATTEMPTS if store.connected else _AT_FIRST):
                raise CannotPublish(
                    f"The target {store.target.name} could not be reached: {why}. What was sent is there; "
                    "publish again for the rest."
                ) from None
            patience.wait(attempt, why)
            attempt += 1


class Sent(Struct):
    """How far a run has come."""

    of: Plan = Plan()
    done: list[Step] = field(default_factory=list)
    bytes: int = 0


class Sending:
    """One run over a plan."""

    def __init__(self, store: Store, site: Path, there: Manifest, hold: Hold, patience: Patience, sent: Sent) -> None:
        self.manifest = there
        self.sent = sent
        self._store = store
        self._site = site
        self._hold = hold
        self._patience = patience
        self._loose: list[Step] = []  # done, and not in the manifest at the target yet
        self._noted = time.monotonic()

    def carry_out(self, plan: Plan, progress: Progress) -> None:
        """Does all steps in order. Raises CannotPublish; then, too, the manifest there tells what was done."""
        progress(0, plan.size)
        try:
            for do in PHASES:
                steps = plan.phase(do)
                if not steps:
                    continue
                self.manifest = before_phase(self.manifest, steps)
                self._note()
                for step in steps:
                    self._do(step, plan.size, progress)
                self._settle()
            if plan.steps:
                self._note()
        except BaseException:
            self._leave()
            raise
        self._clear_folders(plan)

    def _insist(self, work: Callable[[], Result]) -> Result:
        return insist(self._store, work, self._patience)

    def _do(self, step: Step, total: int, progress: Progress) -> None:
        def attempt() -> None:
            self._hold.beat()
            if step.local is None:
                self._store.remove(step.name)
            else:
                self._send(step, total, progress)

        self._insist(attempt)
        self.sent.done.append(step)
        self.sent.bytes += step.size
        self._loose.append(step)
        progress(self.sent.bytes, total)
        if self._is_due():
            self._settle()
            self._note()

    def _send(self, step: Step, total: int, progress: Progress) -> None:
        source, before, on_its_way = self._site / step.name, self.sent.bytes, 0

        def heard(more: int) -> None:
            nonlocal on_its_way
            on_its_way += more
            progress(before + min(on_its_way, step.size), total)

        self._check(source, step)
        self._store.put(step.name, source, step.size, heard)
        self._check(source, step)

    def _check(self, source: Path, step: Step) -> None:
        """What is sent must be what was looked at."""
        try:
            same = step.local is not None and digest_of(source) == step.local.digest
        except OSError:
            same = False
        if not same:
            raise CannotPublish(f"{step.name} was changed while the site was being sent. Publish again.")

    def _is_due(self) -> bool:
        waiting = sum(step.size for step in self._loose)
        return waiting >= _NOTED_BYTES or time.monotonic() - self._noted >= _NOTED

    def _settle(self) -> None:
        self.manifest, self._loose = after_steps(self.manifest, self._loose), []

    def _note(self) -> None:
        self._insist(lambda: self._store.write(manifests.NAME, manifests.spell(self.manifest)))
        self._noted = time.monotonic()

    def _leave(self) -> None:
        """Notes what was done, if the target still takes it: what is noted need not be sent again."""
        if self._loose and self._hold.is_held:
            self._settle()
            try:
                self._store.write(manifests.NAME, manifests.spell(self.manifest))
            except (CannotPublish, Dropped, KeyboardInterrupt):
                return

    def _clear_folders(self, plan: Plan) -> None:
        """Takes away the folders that were left empty."""
        kept = {name.rpartition("/")[0] for name in self.manifest.files}
        gone = {step.name.rpartition("/")[0] for step in plan.phase(REMOVE)} - kept - {""}
        for folder in sorted(gone, key=len, reverse=True):
            self._store.remove_folder(folder)
