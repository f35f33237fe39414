"""Dossiers for the tests: the command, what a PDF says, and what it holds for a reader by ear."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
from click.testing import CliRunner, Result

from journalgen.command import main
from tests.site.matters import ON


def dossier(*args: object) -> Result:
    """The command."""
    return CliRunner().invoke(main, ["dossier", *map(str, args)], catch_exceptions=False)


def make_owner(folder: Path, journal: Path, *args: object) -> Path:
    """The dossier of a journal, which must go well."""
    done = dossier(journal, "--to", folder / "dossier.pdf", "--on", ON, *args)
    assert done.exit_code == 0, done.stderr
    return folder / "dossier.pdf"


def pages_of(file: Path) -> list[str]:
    """What each page says, its lines in the order in which they are read; hyphens at their ends are taken away."""
    with pypdfium2.PdfDocument(file) as document:
        pages = [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document]
    return [re.sub("[\ufffe\u00ad\u0002]\n?", "", page) for page in pages]


def text_of(file: Path) -> str:
    """What a dossier says, with single spaces for line ends, since those fall where the paper ends."""
    return " ".join("\n".join(pages_of(file)).split())


def elements(document: pikepdf.Pdf) -> Iterator[Any]:
    """Every element of the structure, in reading order."""

    def walk(node: Any) -> Iterator[Any]:
        if isinstance(node, pikepdf.Array):
            for child in node:
                yield from walk(child)
        elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
            yield node
            if "/K" in node:
                yield from walk(node.K)

    yield from walk(document.Root.StructTreeRoot.K)


def section_of(text: str, titles: list[str], title: str) -> str:
    """The text of one section: from its heading, behind the contents, to the next."""
    at = titles.index(title)
    start = [found.start() for found in re.finditer(re.escape(f"{at + 1} {title}"), text)][-1]
    if at + 1 == len(titles):
        return text[start:]
    following = [found.start() for found in re.finditer(re.escape(f"{at + 2} {titles[at + 1]}"), text)][-1]
    return text[start:following]
