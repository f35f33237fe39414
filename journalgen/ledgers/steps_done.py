"""Which steps were done on each part, in order of time, and what kind of step each was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from journalgen.records import Material, Session, Step, WorkLine

FIT: Final = "fit"
FLAT: Final = "flat"
TAKE_OFF: Final = "take off"
_STRIP: Final = "strip"

_APART: Final = frozenset({TAKE_OFF, _STRIP, "remove"})
_AT_ANY_TIME: Final = frozenset({FLAT, "inspect", "measure", "trial fit", "test"})
_QUIET: Final = frozenset({"inspect", "measure"})


class StepDone(Struct, frozen=True):
    """One step as it was done on one part in one session."""

    part: str
    step: str
    session: Session
    line: WorkLine


StepsDone = Mapping[str, Sequence[StepDone]]
"""The steps done by part, each row in order of time and, within a session, of the entry."""


def steps_done(sessions: Iterable[Session]) -> dict[str, tuple[StepDone, ...]]:
    """Every part's steps in order of time and, within a session, of the entry."""
    found: dict[str, list[StepDone]] = {}
    for session in sessions:
        for line in session.work:
            for part in line.parts if line.step else ():
                found.setdefault(part, []).append(StepDone(part, line.step or "", session, line))
    return {part: tuple(row) for part, row in found.items()}


def family_of(step: str, steps: Mapping[str, Step]) -> str:
    """The kind of step: its family, else its own key."""
    row = steps.get(step)
    return row.family if row and row.family else step


def is_fit(step: str, steps: Mapping[str, Step]) -> bool:
    """Whether the step puts a part where it belongs for good."""
    return FIT in (step, family_of(step, steps))


def is_apart(step: str, steps: Mapping[str, Step]) -> bool:
    """Whether the step takes a part off or to pieces, so that it is no longer fitted."""
    return step in _APART or family_of(step, steps) == TAKE_OFF


def takes_off(step: str, steps: Mapping[str, Step]) -> bool:
    return TAKE_OFF in (step, family_of(step, steps))


def is_flat(step: str, steps: Mapping[str, Step]) -> bool:
    """Whether the step abrades a coat, so that the next one holds whenever it comes."""
    return FLAT in (step, family_of(step, steps))


def is_at_any_time(step: str, steps: Mapping[str, Step]) -> bool:
    """Whether the step says nothing about how far the part is: flatting, inspecting, trial fitting ..."""
    return step in _AT_ANY_TIME or family_of(step, steps) in _AT_ANY_TIME


def is_quiet(step: str, steps: Mapping[str, Step]) -> bool:
    """Whether the step leaves a wet coat alone."""
    return step in _QUIET or family_of(step, steps) in _QUIET


def bares(step: str, steps: Mapping[str, Step]) -> bool:
    row = steps.get(step)
    return bool(row and row.bares)


def removes(step: str, steps: Mapping[str, Step]) -> bool:
    """Whether the step takes away whatever coats there were.

    Acid leaves metal bare as well, but is itself laid on and has to work: it has a wait of its own.
    """
    row = steps.get(step)
    return bool(row and row.bares and (row.wait is None or _STRIP in (step, row.family)))


def is_coating(material: Material | None) -> bool:
    """Whether a material is laid on in coats: a paint, by its kind or by what its row says of it."""
    return bool(material and (material.kind == "coating" or material.solids or material.film or material.recoat))


def is_coat(line: WorkLine, steps: Mapping[str, Step], materials: Mapping[str, Material]) -> bool:
    """Whether a line of work lays a coat: it is numbered, is of a coating, or protects with nothing named."""
    if line.coat is not None:
        return True
    if line.material:
        return is_coating(materials.get(line.material))
    row = steps.get(line.step or "")
    return bool(row and row.protects)


def protects(line: WorkLine, steps: Mapping[str, Step], materials: Mapping[str, Material]) -> bool:
    """Whether a line of work covers bare metal."""
    row = steps.get(line.step or "")
    return bool(row and row.protects) or is_coating(materials.get(line.material or ""))
