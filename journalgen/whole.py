"""Writes single files whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

UNFINISHED: Final = ".part"
"""The ending of a file that is being written; what a killed run left bears it."""


def write_whole(file: Path, data: bytes) -> None:
    """Writes a file that is never seen half-written, replacing any of its name. Raises OSError."""
    unfinished = file.with_name(f".{file.name}.{os.getpid()}{UNFINISHED}")
    try:
        unfinished.write_bytes(data)
        os.replace(unfinished, file)
    finally:
        unfinished.unlink(missing_ok=True)  # there is none after the replacement
