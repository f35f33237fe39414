"""The list of photographs: number, day, what each shows, and the digest of its original."""

from __future__ import annotations

from journalgen.ledgers.pairs import Shot
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.model import Catalogue, Listed, Section, plain
from journalgen.pictures.model import Fault

PHOTOGRAPHS = "photographs"


def tell_photographs(draft: Draft, shots: tuple[Shot, ...]) -> Section:
    """Every photograph that the dossier is about."""
    _ = draft.tell._
    title = _("Photographs and their digests")
    if not shots:
        return Section(PHOTOGRAPHS, title, (plain(_("No photograph is recorded yet.")),))
    shown = {shot.photo.file for row in draft.chosen.values() for shot in row}
    count = draft.tell.words.ngettext(
        "%(count)s photograph, %(shown)s of them shown.", "%(count)s photographs, %(shown)s of them shown.", len(shots)
    ) % {"count": draft.tell.formats.number(len(shots)), "shown": draft.tell.formats.number(len(shown))}
    return Section(
        PHOTOGRAPHS,
        title,
        (
            plain(count),
            plain(
                _(
                    "Below each photograph stands the SHA-256 of its original file, which the owner keeps. On many "
                    "systems the command sha256sum, or shasum -a 256, gives the same for the same file."
                )
            ),
            Catalogue(tuple(_listed(draft, shot) for shot in shots)),
        ),
    )


def _listed(draft: Draft, shot: Shot) -> Listed:
    """The owner is told the file's name; to others it may tell too much."""
    tell, photo = draft.tell, shot.photo
    parts = ", ".join(map(tell.term, photo.parts)) or tell._("The machine as a whole")
    said = [draft.day(shot.session.day), tell.term(photo.shows), parts]
    text = draft.marked(", ".join(said) + (f": {photo.caption}" if photo.caption else ""), photo.private)
    digest = draft.digests.get(photo.file)
    if isinstance(digest, Fault):
        why = tell._("cannot be read")
        return Listed(str(draft.numbers[photo.file]), text, why)
    file = f" [{photo.file}]" if tell.matter.owner else ""
    return Listed(str(draft.numbers[photo.file]), text + file, digest or "")
