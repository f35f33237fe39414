"""Which photographs stand for the whole journal: the one it opens with, and the pairs that show most."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from journalgen.ledgers.pairs import Pair, Shot
from journalgen.records import Session


def opening_shot(sessions: Sequence[Session], usable: Callable[[str], bool]) -> Shot | None:
    """The last `after` of the machine itself, which is of no part, else the newest photograph of all.

    `usable` says of a file whether there is a picture of it.
    """
    shots = [Shot(session, photo) for session in sessions for photo in session.photos if usable(photo.file)]
    whole = [shot for shot in shots if shot.photo.shows == "after" and not shot.photo.parts]
    return (whole or shots)[-1] if shots else None


def best_pairs(
    pairs: Iterable[Pair], minutes: Mapping[str, int], usable: Callable[[str], bool], count: int
) -> list[Pair]:
    """The pairs worth showing first: finished ones, then those of most hours, then the newest."""
    whole = [pair for pair in pairs if usable(pair.before.photo.file) and usable(pair.after.photo.file)]
    whole.sort(key=lambda p: (p.finished, minutes.get(p.part, 0), p.after.session.day), reverse=True)
    return whole[:count]
