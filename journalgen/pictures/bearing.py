"""What decoding a picture would take, told from its header and its file: memory, and passes over its pixels.

A file of a few kilobytes may unfold into gigabytes, or have its decoder go over every pixel ten thousand
times. The figures for each format are what its decoder was seen to take, with room.
"""

from __future__ import annotations

import re
from io import SEEK_END
from typing import BinaryIO, Final

from PIL import Image
from PIL.JpegImagePlugin import JpegImageFile
from PIL.TiffImagePlugin import BITSPERSAMPLE, ROWSPERSTRIP, SAMPLESPERPIXEL, TILELENGTH, TiffImageFile

from journalgen.pictures.measures import choose_shrink
from journalgen.pictures.model import TOO_LARGE, Refused

MOST_MEMORY: Final = 400_000_000
"""Bytes for the file and all that its decoder and the first steps after it hold at once."""

MOST_SCANS: Final = 64
"""Passes of a JPEG over its pixels; cameras and programs write one to a dozen."""

_MOST_PASSED: Final = 1_500_000_000
"""Pixels gone over in all passes: some three seconds."""

_KEPT: Final = {"1": 1, "L": 1, "P": 1, "I;16": 2, "I;16L": 2, "I;16B": 2}
_KEPT_ELSE: Final = 4
"""Bytes that a pixel takes in memory, by the mode of its picture."""

_GREY: Final = ("1", "L", "LA", "La", "I", "F", "I;16", "I;16L", "I;16B")
_IN_DECODER: Final = {"WEBP": 12, "AVIF": 9, "HEIF": 3.5}  # so that 50 megapixels of a telephone are borne
_IN_DECODER_DEEP: Final = {"WEBP": 12, "AVIF": 9, "HEIF": 9}  # over eight bits a sample
_COEFFICIENT: Final = 2  # bytes of each sample of a JPEG that is put together from several scans

_MARKER: Final = re.compile(rb"\xff[^\x00\x01\xd0-\xd8\xff]")
"""What ends the coded pixels of a JPEG, or is the next of its segments."""

_LONGEST_HEAD: Final = 14  # bytes, of a scan
_SCAN: Final = 0xDA
_END: Final = 0xD9


def refuse_unbearable(image: Image.Image, stream: BinaryIO) -> None:
    """Raises Refused, `too-large`, for a picture that was opened but not decoded and would take too much."""
    here = stream.tell()
    length = stream.seek(0, SEEK_END)
    stream.seek(here)
    needed = length + image.width * image.height * _octets_a_pixel(image, stream)
    if needed > MOST_MEMORY:
        raise Refused(
            TOO_LARGE,
            f"Opening the picture would take {needed / 1_000_000:.0f} MB of memory; at most "
            f"{MOST_MEMORY // 1_000_000} are given to one.",
        )


def _octets_a_pixel(image: Image.Image, stream: BinaryIO) -> float:
    if isinstance(image, JpegImageFile):
        return _of_jpeg(image, stream)
    decoder = _of_strip(image) if isinstance(image, TiffImageFile) else _of_decoder(image)
    return _KEPT.get(image.mode, _KEPT_ELSE) + max(decoder, _of_flat(image))


def _of_decoder(image: Image.Image) -> float:
    is_deep = image.info.get("bit_depth", 8) > 8
    return (_IN_DECODER_DEEP if is_deep else _IN_DECODER).get(image.format or "", 0)


def _of_flat(image: Image.Image) -> int:
    """What is made of a picture that is not yet L, RGB or CMYK without transparency; it follows decoding."""
    if image.mode in ("L", "RGB", "CMYK") and not image.has_transparency_data:
        return 0
    return 1 if image.mode in _GREY else _KEPT_ELSE


def _of_strip(image: TiffImageFile) -> float:
    """A TIFF is decoded a strip, or a row of tiles, at a time; in one strip there may be all of it."""
    rows = image.tag_v2.get(TILELENGTH) or image.tag_v2.get(ROWSPERSTRIP) or image.height
    sample = max(image.tag_v2.get(BITSPERSAMPLE, (8,))) / 8 * image.tag_v2.get(SAMPLESPERPIXEL, 1)
    return float(sample * min(rows, image.height) / image.height)


def _of_jpeg(image: JpegImageFile, stream: BinaryIO) -> float:
    """One that comes in several scans is kept whole in the decoder; where it comes in one, it is decoded small."""
    decoded = _KEPT_ELSE / choose_shrink(min(image.size)) ** 2
    if not image.info.get("progressive") and _parts_of_scan(stream) >= len(image.layer):
        return decoded
    most = min(MOST_SCANS, max(1, _MOST_PASSED // (image.width * image.height)))
    if _has_more_scans(stream, most):
        raise Refused(TOO_LARGE, f"The picture is put together from more than {most} layers, too many for its size.")
    across, down = max(layer[1] for layer in image.layer), max(layer[2] for layer in image.layer)
    samples = sum(layer[1] * layer[2] for layer in image.layer) / (across * down)
    return decoded + _COEFFICIENT * samples


def _parts_of_scan(stream: BinaryIO) -> int:
    """How many of a JPEG's components its first scan holds; the stream stands behind that scan's header."""
    here = stream.tell()
    stream.seek(max(0, here - _LONGEST_HEAD))
    before = stream.read(here - stream.tell())
    stream.seek(here)
    heads = ((parts, before[-(6 + 2 * parts) :]) for parts in range(1, 5))
    return next((parts for parts, head in heads if head[:3] == bytes((0, 6 + 2 * parts, parts))), 0)


def _has_more_scans(stream: BinaryIO, most: int) -> bool:
    here = stream.tell()
    stream.seek(0)
    data = stream.read()
    stream.seek(here)
    at, scans = 2, 0
    while found := _MARKER.search(data, at):
        at, kind = found.end(), found[0][1]
        if kind == _END:
            break
        scans += kind == _SCAN
        if scans > most:
            return True
        at += int.from_bytes(data[at : at + 2], "big")
    return False
