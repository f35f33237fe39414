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
    for here, folders, names in os.walk(start, onerror=lambda fault: _report_folder(fault, root, problems)):
        for name in sorted(folders):
            if (Path(here) / name).is_symlink():
                _report_link(Place(_relative(Path(here) / name, root)), problems)
        folders[:] = sorted(f for f in folders if not f.startswith(".") and not (Path(here) / f).is_symlink())
        for name in sorted(names):
            path = Path(here) / name
            if name.startswith("."):
                continue
            if path.is_symlink() and not path.resolve().is_relative_to(home):
                _report_link(Place(_relative(path, root)), problems)
            elif path.is_file():
                yield path, _relative(path, root)


def _relative(path: Path, root: Path) -> str:
    """The name of a file in the journal, with forward slashes; a name that is not text is made visible."""
    return path.relative_to(root).as_posix().encode("utf-8", "backslashreplace").decode("utf-8")


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
