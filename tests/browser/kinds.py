"""Which pages stand for all the others of their kind."""

from __future__ import annotations

from pathlib import Path

from journalgen.house import themes_folder

THEMES = sorted(file.parent.name for file in themes_folder().glob("*/theme.toml"))


def every_page(edition: Path) -> list[Path]:
    return sorted(edition.rglob("*.html"))


def one_of_each(edition: Path) -> list[Path]:
    """Every page that there is one of, and the largest of each kind that there are several of."""
    folders = sorted({page.parent for page in every_page(edition)} - {edition})
    return [
        *sorted(edition.glob("*.html")),
        *(max(folder.glob("*.html"), key=lambda page: page.stat().st_size) for folder in folders),
    ]
