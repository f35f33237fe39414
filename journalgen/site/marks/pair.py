"""A pair: the before and the after of one part."""

from __future__ import annotations

from msgspec import Struct

from journalgen.ledgers.pairs import Pair, Shot
from journalgen.pictures.model import Picture
from journalgen.site.desk import Desk, Link
from journalgen.site.marks.photograph import Photograph, show


class PairView(Struct, frozen=True):
    """Two photographs of one shape, with what the slider over them says."""

    part: Link
    before: Photograph
    after: Photograph
    finished: bool
    minutes: int | None  # at the bench on this part; None where hours are not shown
    tall: bool
    wipe: str  # the slider's name
    value: str  # its spoken value, with {n}


def show_pair(desk: Desk, pair: Pair) -> PairView:
    """The pair of one part."""
    part = desk.part(pair.part)
    return PairView(
        part=part,
        before=show(desk, pair.before),
        after=show(desk, pair.after),
        finished=pair.finished,
        minutes=desk.index.minutes_by_part.get(pair.part) if desk.shows_hours else None,
        tall=_is_tall(desk, pair.before),
        wipe=desk._("Wipe, %(part)s: share of the before picture") % {"part": part.text},
        value=desk._("{n} %"),
    )


def _is_tall(desk: Desk, shot: Shot) -> bool:
    found = desk.matter.pictures.get(shot.photo.file)
    return isinstance(found, Picture) and found.height > found.width
