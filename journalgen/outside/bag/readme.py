"""The text in a bag that tells a reader in thirty years what is where, in plain English and without this program."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from journalgen.outside.bag.paths import encode_path
from journalgen.outside.bag.payload import Lost
from journalgen.records import Settings

_WIDTH: Final = 76
_OWNER: Final = "owner"

_JOURNAL: Final = (
    "The record itself, as it was written. journal.toml: what the machine is. entries/: one text file for each "
    "session of work; between the lines of dashes stand parts, hours, materials and money, below them what was "
    "done. register/: what each part and material is. photos/: the photographs as the camera made them. All "
    "texts are UTF-8."
)
_SITE: Final = (
    "The record as pages to read: open index.html with any web browser. Pictures are smaller than the photographs. "
    "Everything stands as at"
)
_DOSSIER: Final = (
    "The record as one document to print, or to hand on: what was found, decided and done, with what, photographs with "
    "their digests, and what is not known. PDF/A-2a."
)
_TABLES: Final = (
    "Hours, purchases, stock, measures and steps as CSV, for a spreadsheet: texts in UTF-8, commas between the "
    "columns, whose names are in the first line."
)


class Told(Struct, frozen=True):
    """What the text tells of this bag."""

    settings: Settings  # of the edition
    edition: str
    made: date
    on: date  # as at which the site and the tables were computed
    builds_on: str | None  # the earlier bag, or the day, that this one leaves out what was there before
    lost: Sequence[Lost]
    renamed: Sequence[tuple[str, str]]
    without_site: bool
    dossier: bool


def render_readme(told: Told) -> bytes:
    """The text, in UTF-8, in lines that fit any screen."""
    machine = told.settings.machine
    what = f"{machine.name or told.settings.title}{f' ({machine.year})' if machine.year else ''}"
    lines = [
        told.settings.title,
        "",
        *_wrap(
            f"This folder keeps the record of how one old machine was restored: {what}. It was made on {told.made}. "
            "Everything in it can be read without the program that made it."
        ),
        "",
        *_folders(told),
        *_wrap(
            "Beside the folder data/, the files whose names begin with manifest- hold a digest (SHA-256, SHA-512) of "
            "every file, by which it can be told whether a file is still what it was. The arrangement is a public "
            "standard: BagIt 1.0, RFC 8493. On many systems `sha256sum -c manifest-sha256.txt`, run in the folder "
            "that holds data/, checks them all."
        ),
        *_since(told),
        *_missing(told),
    ]
    return "".join(f"{line}\n" for line in lines).encode("utf-8", "backslashreplace")


def _folders(told: Told) -> list[str]:
    own = [("journal/", _JOURNAL)] if told.edition == _OWNER else []
    paper = [("dossier.pdf", _DOSSIER)] if told.dossier else []
    made = [(f"site/{told.edition}/", f"{_SITE} {told.on}."), ("tables/", _TABLES)]
    lines: list[str] = []
    for name, text in [*own, *paper, *([] if told.without_site else made)]:
        lines += [name, *(f"    {line}" for line in textwrap.wrap(text, _WIDTH - 4)), ""]
    return lines


def _since(told: Told) -> list[str]:
    if told.builds_on is None:
        return []
    return [
        "",
        *_wrap(
            f"This bag holds only what is new or was changed since {told.builds_on}. holdings.txt, beside data/, lists "
            "everything that there was, and in which bag each file lies. For the whole, copy the folders data/ of "
            "the bags over one another, the oldest first."
        ),
    ]


def _missing(told: Told) -> list[str]:
    lines = []
    if told.without_site:
        lines += ["", *_wrap("The journal had errors that kept its pages and tables from being made.")]
    if told.lost:
        lines += ["", "Not in this bag, though they were in the journal:"]
        lines += [f"    {encode_path(lost.name)}: {lost.why}" for lost in told.lost]
    if told.renamed:
        lines += ["", "Kept under other names, since theirs were not text:"]
        lines += [f"    {encode_path(old)}: {encode_path(new)}" for old, new in told.renamed]
    return lines


def _wrap(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, break_long_words=False, break_on_hyphens=False)
