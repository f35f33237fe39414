"""Finds the journal's text files and turns bytes into text, refusing what is not text."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from journalgen.problems import Problems
from journalgen.values import Place

LARGEST: Final = 10 * 1024 * 1024
"""Bytes of one text file."""


def read_text(path: Path, file: str, problems: Problems) -> str | None:
    """The text of one file with LF line ends and no byte order mark; None, and a problem, if it has none."""
    place = Place(file)
    try:
        size = path.stat().st_size
        if size > LARGEST:
            problems.error(
                place, "too-large", f"The file has {size // 1024 // 1024} MB; 10 MB is the most.", "Split it in two."
            )
            return None
        data = path.read_bytes()
    except OSError as fault:
        problems.error(place, "cannot-open", f"The file cannot be opened: {fault.strerror}.", "Check its permissions.")
        return None
    return decode(data, file, problems)


def decode(data: bytes, file: str, problems: Problems) -> str | None:
    """UTF-8, with or without a byte order mark, to text."""
    if b"\0" in data:
        line = data[: data.index(b"\0")].count(b"\n") + 1
        problems.error(
            Place(file, line),
            "not-text",
            "There is a NUL byte here; this is not a text file.",
            "Save it as UTF-8 text.",
        )
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        problems.error(
            Place(file, line),
            "not-utf-8",
            f"The byte {data[fault.start]:#04x} here is not UTF-8.",
            "Save the file as UTF-8 in your editor.",
        )
        return None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def find_files(root: Path, folder: str, problems: Problems) -> Iterator[tuple[Path, str]]:
    """Every plain file below a folder of the journal with its name relative to the journal, sorted.

    Hidden files are passed over. Links that lead out of the journal are errors and never followed;
    linked folders are not followed at all, so that no circle can be walked.
    """
    home = root.resolve()
    start = root / folder
    if start.is_symlink() and not start.resolve().is_relative_to(home):
        _report_link(Place(folder), problems)
        return
    yield from _walk(str(start), folder, home, problems)


def _walk(here: str, name: str, home: Path, problems: Problems) -> Iterator[tuple[Path, str]]:
    """The files of one folder, then those of the folders in it."""
    try:
        with os.scandir(here) as found:
            rows = sorted((row for row in found if not row.name.startswith(".")), key=lambda row: row.name)
    except OSError as fault:
        _report_folder(fault, home, problems)
        return
    folders = []
    for row in rows:
        file = f"{name}/{visible(row.name)}"
        if row.is_symlink() and (row.is_dir() or not Path(row.path).resolve().is_relative_to(home)):
            _report_link(Place(file), problems)
        elif row.is_dir():
            folders.append((row.path, file))
        elif row.is_file():
            yield Path(row.path), file
    for path, file in folders:
        yield from _walk(path, file, home, problems)


def list_plain_files(folder: Path) -> set[str]:
    """Every file below a folder that no link leads to, by its name from there; with no look at any of them."""
    return set(_plain_files(str(folder), "")) if not folder.is_symlink() else set()


def _plain_files(here: str, name: str) -> Iterator[str]:
    try:
        with os.scandir(here) as rows:
            for row in rows:
                if row.is_symlink():
                    continue
                if row.is_dir():
                    yield from _plain_files(row.path, f"{name}{row.name}/")
                elif row.is_file():
                    yield f"{name}{row.name}"
    except OSError:  # what lies there will be found missing
        return


def visible(name: str) -> str:
    """A file's name; one that is not text is made visible."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")


def _report_link(place: Place, problems: Problems) -> None:
    problems.error(
        place, "leads-out", "This link leads out of the journal and is not followed.", "Put the file itself here."
    )


def _report_folder(fault: OSError, root: Path, problems: Problems) -> None:
    if not isinstance(fault, FileNotFoundError):
        name = Path(fault.filename).name if fault.filename else root.name
        problems.error(
            Place(name), "cannot-open", f"The folder cannot be opened: {fault.strerror}.", "Check its permissions."
        )
