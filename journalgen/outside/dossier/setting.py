"""A document to a PDF, set by typst: tagged (PDF/UA-1), archival (PDF/A-2a), the same bytes from the same document.

What people wrote reaches the template as data, in a file of its own, and is never part of its source. Only the
fonts that come with the library are used, and those of a folder that was named: with those of the system the same
journal would look otherwise on each computer.
"""

from __future__ import annotations

import re
import shutil
import tempfile
import threading
from collections.abc import Callable, Collection, Iterable
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import msgspec

from journalgen.outside.dossier.model import Document

STANDARDS: Final = ("ua-1", "a-2a")
"""Both may be had at once. PDF/A-4 may not: it asks for PDF 2.0, and PDF/UA-1 for an earlier one."""

_MAIN: Final = "dossier.typ"
_PROBE: Final = "letters.typ"
_DATA: Final = "dossier.json"
PICTURES: Final = "pictures"
_TOLD: Final = re.compile(r'(?:the text|codepoint) `"((?:\\.|[^"\\])+)"`')
_ESCAPE: Final = re.compile(r"\\(?:u\{([0-9a-f]+)\}|(.))")
_SHORT: Final = {"n": "\n", "t": "\t", "r": "\r", "0": "\0"}
_TICK: Final = 0.1  # seconds between two looks whether someone interrupts


class CannotSet(Exception):
    """The document could not be set; the message says why."""

    def __init__(self, message: str, letters: frozenset[str] = frozenset()) -> None:
        super().__init__(message)
        self.letters = letters  # that had no sign


def try_letters(letters: Collection[str], fonts: Path | None) -> frozenset[str]:
    """Those of the letters that no font at hand can show."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        _copy(_PROBE, home)
        (home / _DATA).write_bytes(msgspec.json.encode(sorted(letters)))
        try:
            _compile(home / _PROBE, fonts, datetime(2000, 1, 1, tzinfo=UTC))
        except CannotSet as fault:
            if not fault.letters:
                raise
            return fault.letters & frozenset(letters)
    return frozenset()


def set_document(document: Document, pictures: Iterable[Path], fonts: Path | None) -> bytes:
    """The PDF. Raises CannotSet, and OSError where there is no room for what it is made from."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        (home / PICTURES).mkdir()
        for picture in pictures:
            shutil.copyfile(picture, home / PICTURES / picture.name)
        _copy(_MAIN, home)
        (home / _DATA).write_bytes(msgspec.json.encode(document))
        return _compile(home / _MAIN, fonts, datetime(*document.day, tzinfo=UTC))


def _copy(name: str, home: Path) -> None:
    (home / name).write_bytes(files(__package__).joinpath("template", name).read_bytes())


def _compile(main: Path, fonts: Path | None, day: datetime) -> bytes:
    import typst

    def work() -> Any:
        compiler = typst.Compiler(
            str(main), root=str(main.parent), font_paths=[str(fonts)] if fonts else [], ignore_system_fonts=True
        )
        return compiler.compile(format="pdf", pdf_standards=list(STANDARDS), timestamp=int(day.timestamp()))

    try:
        return bytes(_interruptible(work))
    except typst.TypstError as fault:
        told = str(getattr(fault, "diagnostic", "") or fault)
        letters = frozenset("".join(map(_unescape, _TOLD.findall(told))))
        raise CannotSet(str(fault).splitlines()[0], letters) from None


def _interruptible(work: Callable[[], Any]) -> Any:
    """The outcome of work that hears no interrupt itself: it is left to its thread, which ends with the process."""
    outcome: list[Any] = []

    def run() -> None:
        try:
            outcome.append((work(), None))
        except BaseException as fault:
            outcome.append((None, fault))

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(_TICK)
    made, fault = outcome[0]
    if fault is not None:
        raise fault
    return made


def _unescape(text: str) -> str:
    return _ESCAPE.sub(lambda found: chr(int(found[1], 16)) if found[1] else _SHORT.get(found[2], found[2]), text)
