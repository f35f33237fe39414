"""A photograph on a page: its picture in several widths, or the marked gap where there is none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.ledgers.pairs import Shot
from journalgen.pictures.model import Fault, Picture
from journalgen.records import Session
from journalgen.site.desk import Desk, Link, Teller


class Framed(Struct, frozen=True):
    """A picture's files with what the page must know before they arrive."""

    width: int
    height: int
    tint: str
    avif: str  # srcset
    jpeg: str  # srcset
    src: str  # a middling JPEG, for browsers that read no srcset
    small: str  # the smallest JPEG
    large: str  # the largest JPEG


class Photograph(Struct, frozen=True):
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
    id: str = ""  # by which a link reaches it on its session's page


def words_for(desk: Teller, shot: Shot) -> tuple[str, str]:
    """The caption of a photograph, which a day may follow, and the words that stand for its picture."""
    photo = shot.photo
    parts = desk.formats.sentence(desk.term(part) for part in photo.parts) if photo.parts else ""
    named = f"{parts}, {desk.term(photo.shows)}" if parts else desk.term(photo.shows)
    caption = (photo.caption or named).rstrip(".")
    return caption, photo.caption or f"{named}, {desk.formats.long(shot.session.day)}"


def gap_for(desk: Teller, file: str, fault: Fault | None) -> str:
    """The owner is told which photograph and why; to others it is only missing, since a file name may tell too much."""
    if not desk.matter.owner:
        return desk._("A photograph is missing here.")
    if fault is None:
        return desk._("No picture was made of photos/%(file)s.") % {"file": file}
    return desk._("photos/%(file)s cannot be shown: %(reason)s") % {"file": file, "reason": fault.message}


def show(desk: Desk, shot: Shot) -> Photograph:
    """The photograph with the addresses of its pictures as the page sees them."""
    photo, day = shot.photo, shot.session.day
    found = desk.matter.pictures.get(photo.file)
    caption, alt = words_for(desk, shot)
    return Photograph(
        alt=alt,
        caption=caption,
        day=day,
        shows=photo.shows,
        session=desk.session(shot.session),
        said=f"{caption}, {desk.formats.long(day)}",
        framed=_frame(desk, found) if isinstance(found, Picture) else None,
        gap="" if isinstance(found, Picture) else gap_for(desk, photo.file, found),
        private=photo.private,
    )


def show_all(desk: Desk, shots: Iterable[Shot]) -> list[Photograph]:
    """Every one of the photographs, in the order given."""
    return [show(desk, shot) for shot in shots]


def newest(desk: Desk, shots: Sequence[Shot]) -> Shot | None:
    """The photograph that shows a part as it is now: the last that is not a before, else the last."""
    whole = [shot for shot in shots if desk.has_picture(shot.photo.file)]
    now = [shot for shot in whole if shot.photo.shows != "before"]
    return (now or whole)[-1] if whole else None


def telling(desk: Desk, session: Session) -> Shot | None:
    """The photograph that best shows what a session came to: its last after, else its first."""
    photos = [photo for photo in session.photos if desk.has_picture(photo.file)]
    after = [photo for photo in photos if photo.shows == "after"]
    chosen = after[-1] if after else photos[0] if photos else None
    return Shot(session, chosen) if chosen else None


def photograph_id(desk: Desk, file: str) -> str | None:
    """The id of a photograph on its session's page; None where there is no picture of it.

    It comes from the picture and not from the file's name, which may tell what is private, nor from
    its number in the entry, which changes when another is put before it.
    """
    found = desk.matter.pictures.get(file)
    return f"photo-{found.variants[0].jpeg.partition('-')[0]}" if isinstance(found, Picture) else None


class Reachable(Struct):
    """Gives the photographs on a session's page their ids, each where it is first shown."""

    desk: Desk
    session: Session
    given: set[str] = field(default_factory=set)

    def mark(self, photograph: Photograph, shot: Shot) -> Photograph:
        """The photograph, with its id if it is the session's own and has not been shown above."""
        place = photograph_id(self.desk, shot.photo.file)
        if place is None or place in self.given or shot.session.page != self.session.page:
            return photograph
        self.given.add(place)
        return replace(photograph, id=place)

    def show_all(self, shots: Iterable[Shot]) -> list[Photograph]:
        """Every one of the photographs, in the order given."""
        return [self.mark(show(self.desk, shot), shot) for shot in shots]


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
        small=root + variants[0].jpeg,
        large=root + variants[-1].jpeg,
    )
