"""Where a dossier may be put: never over anything but an earlier dossier."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from journalgen.outside.dossier.document import MARK
from journalgen.slugs import slug

ENDING = ".pdf"


class CannotMake(Exception):
    """No dossier was made, and nothing was changed; the message says why and what to do."""


def choose_target(
    journal: Path, title: str, day: date, to: Path | None, *, named: Sequence[str] = (), is_public: bool = False
) -> Path:  # fmt: skip
    """The path of the PDF: beside the journal, or in the folder or under the name that was asked for."""
    pieces = [slug(title), "dossier", *(["public"] if is_public else []), *map(slug, named), str(day)]
    name = "-".join(pieces) + ENDING
    if to is None:
        return journal.resolve().parent / name
    return to / name if to.is_dir() else to


def refuse_target(target: Path, journal: Path, *, replace: bool) -> None:
    """Raises CannotMake where a dossier must not be put: over what is not ours, or among the journal's own files."""
    if not target.parent.is_dir():
        raise CannotMake(f"There is no folder {target.parent}. Make it, or choose another place with --to.")
    home = target.parent.resolve() / target.name
    if any(home.is_relative_to(journal.resolve() / own) for own in ("entries", "register", "photos", "web/public")):
        raise CannotMake(f"{target} would lie among the journal's own files or its public site. Choose another place.")
    if not os.path.lexists(target):
        return
    if not target.is_file():
        raise CannotMake(f"{target} is no plain file. Choose another name with --to.")
    if not (replace or is_ours(target)):
        raise CannotMake(
            f"{target} is there already, and no dossier of this program. Choose another name with --to, or say "
            "--replace."
        )


def is_ours(file: Path) -> bool:
    """Whether a file is a PDF that this program made: the archival form keeps the mark legible."""
    try:
        data = file.read_bytes()
    except OSError as fault:
        raise CannotMake(f"{file} cannot be read: {fault.strerror}. Choose another name with --to.") from None
    return data.startswith(b"%PDF-") and f"<pdf:Keywords>{MARK}</pdf:Keywords>".encode() in data
