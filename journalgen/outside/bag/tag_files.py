"""The text files that describe a bag, but for manifests: read leniently, spelt strictly."""

from __future__ import annotations

import codecs
import re
import textwrap
from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from journalgen.outside.bag.model import Held
from journalgen.outside.bag.paths import decode_path, encode_path

KNOWN_VERSIONS: Final = ((0, 93), (0, 94), (0, 95), (0, 96), (0, 97), (1, 0))
_LINE_END: Final = re.compile("\r\n|\r|\n")
_VERSION: Final = re.compile(r"BagIt-Version([ \t]*):([ \t]*)(\d+)\.(\d+)[ \t]*", re.IGNORECASE)
_ENCODING: Final = re.compile(r"Tag-File-Character-Encoding([ \t]*):([ \t]*)(\S+)[ \t]*", re.IGNORECASE)
_ELEMENT: Final = re.compile(r"([^:\r\n]+?)[ \t]*:[ \t]*(.*)")
_WIDTH: Final = 79  # columns of a line of bag-info.txt (2.2.2)
_BOM: Final = "\ufeff"
_FIELDS: Final = 5


class Declaration(Struct, frozen=True):
    """What bagit.txt says (2.1.1)."""

    version: tuple[int, int] = (1, 0)
    encoding: str = "UTF-8"


def spell_declaration() -> bytes:
    """That of a bag of version 1.0 whose tag files are UTF-8."""
    return b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"


def parse_declaration(data: bytes) -> tuple[Declaration, list[str]]:
    """What bagit.txt says, as far as it can be made out, and what is wrong with it."""
    faults = []
    if data.startswith(codecs.BOM_UTF8):
        faults.append("It begins with a byte order mark, which it must not.")
    lines = split_lines(data.decode("utf-8-sig", "replace"))
    while lines and not lines[-1].strip():  # of old bags
        lines.pop()
    version = _VERSION.fullmatch(lines[0]) if lines else None
    encoding = _ENCODING.fullmatch(lines[1]) if len(lines) > 1 else None
    if version is None or encoding is None or len(lines) != 2:
        faults.append("It must consist of two lines, BagIt-Version and Tag-File-Character-Encoding.")
    told = (int(version[3]), int(version[4])) if version else Declaration().version
    if told not in KNOWN_VERSIONS:
        faults.append(f"BagIt {told[0]}.{told[1]} is not known; the bag is checked as if it were 1.0.")
        told = Declaration().version
    if told >= (1, 0) and any(found and (found[1] or len(found[2]) != 1) for found in (version, encoding)):
        faults.append("There must be one space, and no more, behind the colon.")
    named = encoding[3] if encoding else Declaration().encoding
    if not _is_encoding(named):
        faults.append(f"The encoding {named} is not known; the tag files are read as UTF-8.")
        named = Declaration().encoding
    return Declaration(told, named), faults


def _is_encoding(name: str) -> bool:
    try:
        return "".encode(name) is not None  # which what makes no bytes of text refuses
    except (LookupError, ValueError):
        return False


def split_lines(text: str) -> list[str]:
    """The lines of a text tag file, ended by LF, CR or CRLF and by nothing else (2.3)."""
    lines = _LINE_END.split(text)
    return lines[:-1] if lines[-1] == "" else lines


def decode_text(data: bytes, encoding: str) -> tuple[str, bool]:
    """The text of a tag file, and whether it began with a mark that it should not have. Raises UnicodeError."""
    text = data.decode(encoding)
    return text.removeprefix(_BOM), text.startswith(_BOM)


def parse_info(text: str) -> tuple[tuple[tuple[str, str], ...], list[int]]:
    """The elements of bag-info.txt in their order, continued lines joined, and the lines that are none (2.2.2)."""
    elements: list[tuple[str, str]] = []
    faulty = []
    for number, line in enumerate(split_lines(text), 1):
        if line[:1] in (" ", "\t") and elements:
            label, value = elements[-1]
            elements[-1] = label, f"{value} {line.strip()}".strip()
        elif found := _ELEMENT.fullmatch(line):
            elements.append((found[1].strip(), found[2].strip()))
        elif line.strip():
            faulty.append(number)
    return tuple(elements), faulty


def spell_info(elements: Iterable[tuple[str, str]]) -> bytes:
    """bag-info.txt: a value that is long goes on in the next lines."""
    lines = []
    for label, value in elements:
        text = f"{label}: {' '.join(value.split())}"
        lines += textwrap.wrap(
            text, _WIDTH, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False
        )  # fmt: skip
    return "".join(f"{line}\n" for line in lines).encode("utf-8", "backslashreplace")


def parse_fetch_line(line: str) -> tuple[str, str] | None:
    """The address and the path of a line of fetch.txt (2.2.3); None for what is no such line."""
    pieces = line.split(None, 2)
    if len(pieces) != 3 or not (pieces[1] == "-" or pieces[1].isdigit()):
        return None
    return pieces[0], pieces[2].rstrip(" \t")


def spell_holdings(rows: Iterable[Held], day: str) -> bytes:
    """All that the journal held, and in which bag each file lies, as text that needs no program."""
    lines = [
        f"# What the journal held on {day}, and in which bag each file lies. Between tabs: the SHA-512 of the file,",
        "# its length in bytes, when it was last changed (in UTC; - for what was made for the bag), the bag, its path.",
    ]
    for row in sorted(rows, key=lambda row: encode_path(row.path)):
        lines.append("\t".join((row.digest, str(row.length), row.changed, row.bag, encode_path(row.path))))
    return "".join(f"{line}\n" for line in lines).encode()


def parse_holdings(data: bytes) -> tuple[Held, ...] | None:
    """What `spell_holdings` spelt; None if it is no such text."""
    rows = []
    try:
        lines = split_lines(data.decode("utf-8"))
        for line in lines:
            if not line.startswith("#"):
                digest, length, changed, bag, path = line.split("\t", _FIELDS - 1)
                rows.append(Held(decode_path(path), digest, int(length), changed, bag))
    except ValueError:
        return None
    return tuple(rows)
