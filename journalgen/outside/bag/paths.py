"""File names in bags: how manifests spell them, which are unsafe, and which another system could not hold."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable
from typing import Final

_ENCODED: Final = re.compile("%(0[AaDd]|25)")
_NOT_ON_WINDOWS: Final = re.compile(r'[<>:"|?*\\\x00-\x1f\x7f]')
_DEVICES: Final = re.compile(r"(con|prn|aux|nul|com[1-9]|lpt[1-9])(\..*)?", re.IGNORECASE)
_DRIVE: Final = re.compile("[A-Za-z]:")
_LONGEST: Final = 255  # bytes of a name that every file system in use takes
_LONGEST_PATH: Final = 240  # letters; Windows takes 260 with the folder that the bag is put into


def encode_path(name: str) -> str:
    """A file's name as a manifest spells it: line feed, carriage return and per cent, and only those (2.1.3)."""
    return name.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def decode_path(text: str) -> str:
    """The name that a manifest spells."""
    return _ENCODED.sub(lambda found: chr(int(found[1], 16)), text)


def is_unsafe(path: str) -> bool:
    """Whether a path could lead out of the bag on some system (5.1)."""
    if not path or path[0] in "/\\~" or _DRIVE.match(path) or "\0" in path:
        return True
    return ".." in re.split(r"[/\\]", path)


def same_form(name: str) -> str:
    """The name in one Unicode form: some systems store another form than they were given (6.1.1.2)."""
    return unicodedata.normalize("NFC", name)


def collisions(names: Iterable[str]) -> list[tuple[str, ...]]:
    """Names that are one and the same on systems that disregard case or Unicode form (6.1.1)."""
    alike: dict[str, list[str]] = defaultdict(list)
    for name in names:
        alike[same_form(same_form(name).casefold())].append(name)
    return sorted(tuple(sorted(group)) for group in alike.values() if len(group) > 1)


def fault_elsewhere(path: str) -> str | None:
    """Why a file of this name cannot be stored on every system (6.1.2); None where it can."""
    for name in path.split("/"):
        if found := _NOT_ON_WINDOWS.search(name):
            return f"Windows allows no {_spell(found[0])} in a name"
        if _DEVICES.fullmatch(name):
            return f"Windows keeps the name {name} for a device"
        if name.endswith((".", " ")):
            return "Windows allows no dot or space at the end of a name"
        if len(name.encode("utf-8", "surrogateescape")) > _LONGEST:
            return f"many disks take no name of over {_LONGEST} bytes"
    return f"its path has over {_LONGEST_PATH} letters, too many for Windows" if len(path) > _LONGEST_PATH else None


def _spell(sign: str) -> str:
    return sign if sign.isprintable() else f"control character (U+{ord(sign):04X})"


def text_name(name: str) -> str:
    """A name with `=FF` for each byte of it that is not text: manifests are UTF-8, and hold nothing else."""
    return "".join(f"={ord(sign) - 0xDC00:02X}" if "\udc80" <= sign <= "\udcff" else sign for sign in name)
