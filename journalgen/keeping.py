"""What one run leaves for the next, in the journal's `.journalgen/`; it may be deleted at any time.

Nothing in it is believed but what this very program wrote: every file begins with a digest of its
contents together with the program's own mark, and holds plain data, never code.
"""

from __future__ import annotations

from contextlib import suppress
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Final, TypeVar

from journalgen.plain_data import DIGEST, decode, digest, encode
from journalgen.program import program_lines

CACHE: Final = ".journalgen"
SITES: Final = "web"
MADE: Final = (CACHE, SITES)
"""Folders of a journal that hold nothing but what can be made again."""

READ: Final = "read"
"""The file in the cache that keeps what was read of each text file."""

T = TypeVar("T")


@cache
def program_mark() -> bytes:
    """Stands for this program as it is installed: another version, a changed file or library has another."""
    return blake2b(program_lines().encode("utf-8", "surrogateescape"), digest_size=DIGEST).digest()


def load(file: Path, kind: type[T]) -> T | None:
    """What an earlier run left in a file; None if it is absent, damaged, or by another program than this."""
    try:
        data = file.read_bytes()
    except OSError:
        return None
    stated, contents = data[:DIGEST], data[DIGEST:]
    return decode(contents, kind) if digest(program_mark(), contents) == stated else None


def save(file: Path, value: object) -> None:
    """Leaves a value for the next run; a folder that cannot be written keeps what it had."""
    from journalgen.whole import write_whole

    contents = encode(value)
    with suppress(OSError):  # it only saves time
        file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(file, digest(program_mark(), contents) + contents)
