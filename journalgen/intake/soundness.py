"""Whether a photograph can be shown. It is asked of each one taken in, while its original can still be had."""

from __future__ import annotations

import struct
from io import SEEK_END
from pathlib import Path
from typing import BinaryIO, Final

_CUT_SHORT: Final = "It is cut short: the camera, the card or a copy before this one did not finish it."
_SMALL: Final = 8
"""A JPEG is decoded this many times smaller, which finds as much damage in less time."""


def fault_of(file: Path) -> str | None:
    """Why no picture could be made of a photograph, in one sentence; None if it can be.

    JPEG, PNG and TIFF are decoded. Of the others, which take long, the length is held against what they say it is.
    """
    from journalgen.pictures.model import Refused
    from journalgen.pictures.opening import decoding, open_original
    from journalgen.pictures.originals import find_original, opened

    try:
        find_original(file)
        with opened(file) as stream, open_original(stream) as image:
            if image.format in ("WEBP", "AVIF", "HEIF"):
                return None if _is_whole(stream) else _CUT_SHORT
            with decoding():
                image.draft("RGB", (image.width // _SMALL, image.height // _SMALL))
                image.load()
    except Refused as refused:
        return str(refused)
    return None


def _is_whole(stream: BinaryIO) -> bool:
    """Whether a file in the container of RIFF, or of ISO 14496-12, holds all of the piece with the picture.

    What cameras put after that piece is theirs.
    """
    length = stream.seek(0, SEEK_END)
    stream.seek(0)
    start = stream.read(8)
    if start[:4] == b"RIFF":
        return int.from_bytes(start[4:8], "little") + 8 <= length
    at = 0
    while at < length:
        stream.seek(at)
        head = stream.read(16)
        if len(head) < 8:
            return False
        (size, kind) = struct.unpack_from(">I4s", head)
        if size == 1 and len(head) == 16:
            (size,) = struct.unpack_from(">Q", head, 8)
        end = at + size if size else length  # nought: to the end
        if kind == b"mdat" or end <= at:
            return at < end <= length
        at = end
    return False
