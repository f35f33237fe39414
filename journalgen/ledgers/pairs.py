"""The pairs: the first before and the last after of each part, or those that a person named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from journalgen.records import Photo, Session


class Shot(Struct, frozen=True):
    """A photograph with the session it stands in."""

    session: Session
    photo: Photo


class Pair(Struct, frozen=True):
    """A before and an after of one part. `finished` is False while the second is only the latest during."""

    part: str
    before: Shot
    after: Shot
    finished: bool = True


def shots_of(sessions: Sequence[Session]) -> dict[str, list[Shot]]:
    """Every part's photographs in order of time."""
    shots: dict[str, list[Shot]] = {}
    for session in sessions:
        for photo in session.photos:
            for part in photo.parts:
                shots.setdefault(part, []).append(Shot(session, photo))
    return shots


def find_pairs(sessions: Sequence[Session], shots: Mapping[str, Sequence[Shot]] | None = None) -> dict[str, Pair]:
    """The pair of each part that has one, in the order of the before photographs.

    A later choice of a part's pair replaces an earlier one; a side it does not name stays the first
    before or the last after. Without an after, the last during stands for it, unfinished.
    """
    shots = shots_of(sessions) if shots is None else shots
    chosen = {choice.part: choice for session in sessions for choice in session.pairs}
    by_file = {shot.photo.file: shot for row in shots.values() for shot in row}
    by_file |= {photo.file: Shot(s, photo) for s in sessions for photo in s.photos if photo.file not in by_file}
    found: dict[str, Pair] = {}
    for part in [*shots, *(part for part in chosen if part not in shots)]:
        row = shots.get(part, [])
        choice = chosen.get(part)
        before = by_file.get(choice.before) if choice and choice.before else _first(row, "before")
        after = by_file.get(choice.after) if choice and choice.after else _last(row, "after")
        so_far = _last(row, "during") if after is None else None
        if before and after:
            found[part] = Pair(part, before, after)
        elif before and so_far:
            found[part] = Pair(part, before, so_far, finished=False)
    return found


def _first(row: Sequence[Shot], shows: str) -> Shot | None:
    return next((shot for shot in row if shot.photo.shows == shows), None)


def _last(row: Sequence[Shot], shows: str) -> Shot | None:
    return _first(row[::-1], shows)
