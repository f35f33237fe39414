"""A photograph on a page: its picture in several widths, or the marked gap where there is none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from journalgen.ledgers.pairs import Shot
from journalgen.pictures.model import Fault, Picture
from journalgen.site.desk import Desk, Link


@dataclass(frozen=True, slots=True)
class Framed:
    """A picture's files with what the page must know before they arrive."""

    width: int
    height: int
    tint: str
    avif: str  # srcset
    jpeg: str  # srcset
    src: str  # a middling JPEG, for browsers that read no srcset
    large: str  # the largest JPEG


@dataclass(frozen=True, slots=True)
class Photograph:
    """One photograph as a session refers to it."""

    alt: str
    caption: str
    day: date
    shows: str
    session: Link
    said: str  # the caption and the day, for the enlarged view
    framed: Framed | None
    gap: str  # what stands in the gap
    private: bool


def show(desk: Desk, shot: Shot) -> Photograph:
    """The photograph with the addresses of its pictures as the page sees them."""
    photo, day = shot.photo, shot.session.day
    found = desk.matter.pictures.get(photo.file)
    parts = str(desk.formats.listing(desk.term(part) for part in photo.parts)) if photo.parts else ""
    named = f"{parts}, {desk.term(photo.shows)}" if parts else desk.term(photo.shows)
    caption = (photo.caption or named).rstrip(".")  # a day follows it
    return Photograph(
        alt=photo.caption or f"{named}, {desk.formats.long(day)}",
        caption=caption,
        day=day,
        shows=photo.shows,
        session=desk.session(shot.session),
        said=f"{caption}, {desk.formats.long(day)}",
        framed=_frame(desk, found) if isinstance(found, Picture) else None,
        gap="" if isinstance(found, Picture) else _gap(desk, photo.file, found),
        private=photo.private,
    )


def show_all(desk: Desk, shots: Iterable[Shot]) -> list[Photograph]:
    """Every one of the photographs, in the order given."""
    return [show(desk, shot) for shot in shots]


def _frame(desk: Desk, picture: Picture) -> Framed:
    root = f"{desk.root}pictures/"
    variants = sorted(picture.variants, key=lambda variant: variant.width)
    return Framed(
        width=picture.width,
        height=picture.height,
        tint=picture.tint,
        avif=", ".join(f"{root}{variant.avif} {variant.width}w" for variant in variants),
        jpeg=", ".join(f"{root}{variant.jpeg} {variant.width}w" for variant in variants),
        src=root + variants[len(variants) // 2].jpeg,
        large=root + variants[-1].jpeg,
    )


def _gap(desk: Desk, file: str, fault: Fault | None) -> str:
    """The owner is told which photograph and why; to others it is only missing, since a file name may tell too much."""
    if not desk.matter.owner:
        return desk._("A photograph is missing here.")
    if fault is None:
        return desk._("No picture was made of photos/%(file)s.") % {"file": file}
    return desk._("photos/%(file)s cannot be shown: %(reason)s") % {"file": file, "reason": fault.message}
