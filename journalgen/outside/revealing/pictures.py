"""What a camera, or a program, wrote into a picture beside what can be seen."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from io import BytesIO
from typing import Any, Final

from PIL import Image

from journalgen.outside.revealing.model import Hit

ENDINGS: Final = (".jpg", ".jpeg", ".png", ".webp", ".avif", ".tif", ".tiff", ".gif")

# Tags of Exif 2.32.
_GPS: Final = 0x8825
_EXIF: Final = 0x8769
_OWN: Final = {0xA430: "the owner's name", 0xA431: "the camera's number", 0xA435: "the lens's number"}
_FROM_XMP: Final = (
    (b"GPSLatitude", "position"),
    (b"SerialNumber", "identity-number"),
    (b"OwnerName", "identity-number"),
)


def look_into(data: bytes) -> Iterator[Hit]:
    """What a picture holds beside the picture. One that cannot be opened is told as such."""
    try:
        with warnings.catch_warnings(action="ignore"), Image.open(BytesIO(data)) as image:
            exif, info = image.getexif(), dict(image.info)
            yield from _from_exif(exif)
            yield from _from_xmp(info.get("xmp") or info.get("XML:com.adobe.xmp") or b"")
            if len(exif) or "comment" in info or "photoshop" in info:
                yield Hit("camera-data", "what a camera or a program wrote into it")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        yield Hit("not-looked-into", "a picture that cannot be opened")


def _from_exif(exif: Any) -> Iterator[Hit]:
    if exif.get_ifd(_GPS):
        yield Hit("picture-position", "the position where it was taken", True)
    for tag, what in _OWN.items():
        if exif.get(tag) or exif.get_ifd(_EXIF).get(tag):
            yield Hit("picture-identity", what, True)


def _from_xmp(xmp: bytes | str) -> Iterator[Hit]:
    data = xmp.encode() if isinstance(xmp, str) else xmp
    for mark, kind in _FROM_XMP:
        if mark in data:
            yield Hit(f"picture-{kind.partition('-')[0]}", mark.decode(), True)
