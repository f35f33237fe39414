"""Checks that need the whole journal: pages of one name, references, placed elements, photographs, uses."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, time
from pathlib import Path

from msgspec.structs import replace

from journalgen.problems import Problems
from journalgen.reading.names import Catalogue, nearest
from journalgen.reading.texts import list_plain_files
from journalgen.records import Block, Photo, Session
from journalgen.slugs import key, slug
from journalgen.values import Place


def in_time_order(sessions: Iterable[Session]) -> list[Session]:
    """By day, then by the time of day, then by file. What does not say when it began is taken to end its day."""
    return sorted(sessions, key=lambda s: (s.day, s.start is None, s.start or time(), s.place.file))


def give_pages(sessions: Iterable[Session], problems: Problems) -> list[Session]:
    """Names each session's page by date and title, by its date alone where it has none.

    A second one of the same name gets -2, with a warning.

    Public sessions are named first: a `-2` on a public page must not tell of a private one.
    """
    taken: dict[str, str] = {}
    paged = []
    for session in sorted(sessions, key=lambda session: session.private):
        base = str(session.day) if session.title == str(session.day) else f"{session.day}-{slug(session.title)}"
        page, n = base, 1
        while page in taken:
            n += 1
            page = f"{base}-{n}"
        if n > 1:
            problems.warning(
                Place(session.place.file),
                "same-date-and-title",
                f"{taken[base]} has the same date and title; both count, and this one's page is {page}.",
                "Give one of them another title.",
            )
        taken[page] = session.place.file
        paged.append(replace(session, page=page))
    return in_time_order(paged)


def check_references(sessions: Iterable[Session], parts: Catalogue, problems: Problems) -> None:
    """Reports cross-references that lead nowhere."""
    sessions = list(sessions)
    pages = {str(s.day) for s in sessions} | {s.page for s in sessions}
    for session in sessions:
        for reference in (reference for reference in session.references if reference.kind != "photo"):
            known = pages if reference.kind == "session" else [*parts.registered, *parts.adopted]
            found = reference.target in pages if reference.kind == "session" else parts.find(reference.target)
            if not found:
                near = nearest(reference.target, known)
                problems.warning(
                    reference.place,
                    "reference-unknown",
                    f'There is no {reference.kind} "{reference.target}" to refer to.',
                    f"Did you mean {near}?" if near else "Name a part, or the date of a session.",
                )


def check_blocks(sessions: Iterable[Session], photos: Mapping[str, Photo], problems: Problems) -> None:
    """Reports placed photographs and measures that no line of the journal lists."""
    for session in sessions:
        shown = [(file, block.place) for block in session.blocks for file in _files(block)]
        shown += [(r.target, r.place) for r in session.references if r.kind == "photo"]
        for file, place in shown:
            if file not in photos:
                problems.warning(
                    place,
                    "photo-not-listed",
                    f"The text shows {file}, but no entry lists it under `photos:`.",
                    "List it there, so that it can be described, hidden or kept private.",
                )
        for block in session.blocks:
            for part, what in block.measures:
                if not any(key(m.what) == key(what) and _is_of(m.parts, part) for m in session.measures):
                    problems.warning(
                        block.place,
                        "measure-not-listed",
                        f'This session has no measure "{what}".',
                        "List it under `measures:`.",
                    )


def _files(block: Block) -> list[str]:
    named = [block.pair.before, block.pair.after] if block.pair else []
    return [*block.files, *(file for file in named if file)]


def _is_of(parts: tuple[str, ...], part: str) -> bool:
    return not part or any(key(name) == key(part) for name in parts)


def listed_photos(sessions: Iterable[Session]) -> dict[str, Photo]:
    """Every photograph by its file, as it is first listed."""
    photos: dict[str, Photo] = {}
    for session in sessions:
        for photo in session.photos:
            photos.setdefault(photo.file, photo)
    return photos


def check_photo_files(photos: Mapping[str, Photo], root: Path, problems: Problems) -> None:
    """Reports photographs that are not there, and links that lead out of the journal."""
    home, folder = root.resolve(), root / "photos"
    plain = list_plain_files(folder)
    missing = []
    for file, photo in photos.items():
        if file in plain:
            continue
        path = folder / file
        if not path.resolve().is_relative_to(home):
            problems.error(
                photo.place,
                "leads-out",
                f"{file} is a link that leads out of the journal; it is never published.",
                "Put the photograph itself into photos/.",
            )
        elif not path.is_file():
            missing.append(photo)
    known = sorted(plain) if missing else []
    for photo in missing:
        near = nearest(photo.file, known)
        problems.warning(
            photo.place,
            "photo-absent",
            f"There is no photograph {photo.file} in photos/.",
            f"Did you mean {near}?" if near else "Copy it into photos/, or remove the line.",
        )


def check_uses(sessions: Iterable[Session], problems: Problems) -> None:
    """Reports materials that were used without it being said how much."""
    for session in sessions:
        measured = {use.material for use in session.uses if use.amount}
        measured |= {line.material for line in session.work if line.material and line.amount}
        named = [(use.material, use.place) for use in session.uses]
        named += [(line.material, line.place) for line in session.work if line.material]
        for material, place in named:
            if material not in measured:
                problems.warning(
                    place,
                    "use-without-amount",
                    f"It is not said how much {material} was used, so the stock does not know of it.",
                    "Add the amount, for example 120 mL or 2 sheets.",
                )


def check_days(sessions: Iterable[Session], today: date, problems: Problems) -> None:
    """Reports entries of days still to come, which do not count yet."""
    for session in sessions:
        if session.day > today:
            problems.warning(
                Place(session.place.file),
                "day-to-come",
                f"The entry is of {session.day}, which is still to come; it does not count before then.",
                "Look at the year and the month of its date.",
            )
