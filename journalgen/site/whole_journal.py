"""The whole journal to the matter of one edition, and what is asked of its photographs."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import Struct

from journalgen import editions
from journalgen.house import trade_lore
from journalgen.languages import load_words
from journalgen.ledgers.figures import Figures
from journalgen.ledgers.money import ReferenceRates
from journalgen.pictures.model import ABSENT, NOT_MADE, Fault, Picture, Request
from journalgen.problems import Problem, Problems
from journalgen.records import Journal, Photo
from journalgen.site.matter import OWNER, Matter, material_slugs, step_slugs
from journalgen.site.said import said_in_public
from journalgen.values import Rectangle


class Whole(Struct, frozen=True):
    """All that any edition is made from."""

    journal: Journal
    pictures: Mapping[str, Picture | Fault]
    problems: tuple[Problem, ...]
    left_out: tuple[str, ...]
    slugs: Mapping[str, str]
    said: Mapping[str, str]  # by the page of each session


def matter_of(whole: Whole, figures: Figures, edition: str, on: date, reference: ReferenceRates) -> Matter:
    """One edition, with figures computed from what it shows; `figures` are those of the whole journal."""
    words = load_words(whole.journal.settings.language)
    if edition == OWNER:
        return Matter(
            edition=edition,
            journal=whole.journal,
            figures=figures,
            pictures=whole.pictures,
            said=whole.said,
            problems=whole.problems,
            left_out=whole.left_out,
            part_slugs=whole.slugs,
            material_slugs=material_slugs(whole.journal),
            step_slugs=step_slugs(whole.journal),
            lore=trade_lore(words.gettext),
        )
    public = editions.public_edition(whole.journal)
    return Matter(
        edition=edition,
        journal=public,
        figures=Figures(public, reference, on, Problems()),
        pictures={photo.file: whole.pictures[photo.file] for photo in _photos(public)},
        said=said_in_public(public.sessions, whole.said),
        hidden=whole.journal.settings.hide,
        part_slugs={name: slug for name, slug in whole.slugs.items() if name in public.parts},
        material_slugs=material_slugs(whole.journal),
        step_slugs=step_slugs(whole.journal),
        lore=trade_lore(words.gettext),
    )


def list_requests(journal: Journal, folder: Path, *, public_only: bool) -> dict[str, Request]:
    """What is asked of every photograph that an edition shows, by its file; the originals lie in `folder`.

    A region that one line hides is hidden wherever the photograph is shown.
    """
    hidden: dict[str, tuple[Rectangle, ...]] = {}
    shown = editions.public_edition(journal) if public_only else journal
    for photo in _photos(journal):
        if photo.hide:
            hidden[photo.file] = tuple(dict.fromkeys((*hidden.get(photo.file, ()), *photo.hide)))
    files, home = dict.fromkeys(photo.file for photo in _photos(shown)), os.path.join(folder, "")
    return {file: Request(home + file, hidden.get(file, ())) for file in files}


def _photos(journal: Journal) -> Iterator[Photo]:
    return (photo for session in journal.sessions for photo in session.photos)


def picture_problems(journal: Journal, pictures: Mapping[str, Picture | Fault]) -> list[Problem]:
    """Photographs that could not be used; those that are absent were reported when the journal was read."""
    problems = Problems()
    for photo in {photo.file: photo for photo in _photos(journal)}.values():
        fault = pictures.get(photo.file)
        if isinstance(fault, Fault) and fault.kind not in (ABSENT, NOT_MADE):
            report = problems.error if fault.kind == "hide-outside" else problems.warning
            report(photo.place, f"photo-{fault.kind}", f"{photo.file}: {fault.message}", _REMEDY)
    return problems.found


_REMEDY: Final = "Put a sound copy of the photograph into photos/; a gap is marked on the page until then."
