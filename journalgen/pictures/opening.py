"""Opens an original by what its bytes say it is, and turns away what must not be decoded.

A file's ending is never believed: what has the first bytes of none of the six formats is no
picture here, whatever its name.
"""

from __future__ import annotations

import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import BinaryIO, Final

from PIL import Image
from pillow_heif import register_heif_opener

from journalgen.pictures.bearing import refuse_unbearable
from journalgen.pictures.model import BROKEN, TOO_LARGE, Refused

MAX_PIXELS: Final = 120_000_000
MAX_SIDE: Final = 65_500
"""Pixels; a JPEG cannot be longer."""

_FORMATS: Final = ("JPEG", "PNG", "WEBP", "AVIF", "TIFF", "HEIF")
_NOT_A_PICTURE: Final = "This is not a JPEG, PNG, WebP, AVIF, TIFF or HEIC picture, or its beginning is damaged."
_TOO_MANY: Final = f"The picture has more than {MAX_PIXELS // 1_000_000} megapixels, the most that is read."
_DAMAGED: Final = "The picture is damaged or cut short and cannot be decoded."

# Decoders were not written with hostile bytes in mind; these are the ways in which they have been
# seen to give up. KeyboardInterrupt and our own slips (NameError, AttributeError) stay visible.
_DECODER_FAULTS: Final = (
    OSError, ValueError, SyntaxError, RuntimeError, EOFError, struct.error, zlib.error,
    LookupError, TypeError, ArithmeticError, AssertionError,
)  # fmt: skip

_PNG_START: Final = b"\x89PNG\r\n\x1a\n"
_PNG_NEEDED: Final = frozenset({b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"eXIf"})

register_heif_opener()


@contextmanager
def decoding(message: str = _DAMAGED) -> Iterator[None]:
    """Turns whatever a decoder fails with into Refused, and keeps its warnings from the terminal."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except Image.DecompressionBombError:
        raise Refused(TOO_LARGE, _TOO_MANY) from None
    except MemoryError:
        raise Refused(TOO_LARGE, "The picture needs more memory than there is.") from None
    except _DECODER_FAULTS:
        raise Refused(BROKEN, message) from None


def open_original(stream: BinaryIO) -> Image.Image:
    """The picture with its header read and no pixel decoded; the first frame where there are several.

    Raises Refused: `broken` if it is none of the six formats, `too-large` if it would take too much to decode.
    """
    start = stream.read(len(_PNG_START))
    stream.seek(0)
    if start == _PNG_START:
        stream = BytesIO(_plain_png(stream.read()))
    with decoding(_NOT_A_PICTURE):
        image = Image.open(stream, formats=_FORMATS)
    width, height = image.size
    if width * height > MAX_PIXELS:
        raise Refused(TOO_LARGE, _TOO_MANY)
    if max(width, height) > MAX_SIDE:
        raise Refused(TOO_LARGE, f"The picture is {max(width, height)} pixels long; at most {MAX_SIDE} are read.")
    with decoding(_NOT_A_PICTURE):
        refuse_unbearable(image, stream)
    return image


def _plain_png(data: bytes) -> bytes:
    """The PNG without its texts and without a profile that unpacks to more than a megabyte.

    The decoder turns a whole PNG away for one bloated text or profile that no picture needs.
    Bytes that are no chunk are passed on, so that the decoder finds the damage.
    """
    kept: list[bytes | memoryview] = [_PNG_START]
    whole, at = memoryview(data), len(_PNG_START)
    while at + 12 <= len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        end = at + 12 + length
        if end > len(data):
            break
        if kind in _PNG_NEEDED or (kind == b"iCCP" and _profile_is_bearable(data[at + 8 : end - 4])):
            kept.append(whole[at:end])
        at = end
        if kind == b"IEND":
            return b"".join(kept)
    kept.append(whole[at:])
    return b"".join(kept)


def _profile_is_bearable(chunk: bytes) -> bool:
    _, _, packed = chunk.partition(b"\0")
    unpacking = zlib.decompressobj()
    try:
        # One megabyte is the most that the decoder itself unpacks.
        unpacking.decompress(packed[1:], 1_000_000)
    except zlib.error:
        return False
    return not unpacking.unconsumed_tail
