"""One photograph tried: whatever its bytes, it is a picture or a fault with a sentence, soon, and stays as it is."""

from __future__ import annotations

import io
from pathlib import Path
from random import Random
from typing import Final

from PIL import Image

from journalgen.pictures import look_at
from tests.fuzz.trial import limited
from tests.pictures.samples import answer, noise

FORMATS: Final = ("JPEG", "PNG", "WEBP", "AVIF", "TIFF", "HEIF")


def samples() -> list[bytes]:
    """A small picture in each format, with EXIF and a profile where it takes them."""
    made = []
    exif = Image.Exif()
    exif[0x010E] = "made for a test"
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x9003] = "2024:03:09 19:15:00"
    for kind in FORMATS:
        out = io.BytesIO()
        noise(48, 32).save(out, kind, exif=exif.tobytes())
        made.append(out.getvalue())
    return made


def spoil_picture(chance: Random, data: bytes) -> bytes:
    """Bytes changed mostly near the beginning, where formats keep what is believed of a picture."""
    spoilt = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 4, 16))):
        at = int(len(spoilt) * chance.random() ** 3)
        kind = chance.randrange(5)
        if kind == 0:
            spoilt[at : at + 1] = bytes([chance.randrange(256)])
        elif kind == 1:
            spoilt[at : at + 4] = chance.choice(
                (b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff", b"\0\0\xff\xff")
            )
        elif kind == 2:
            del spoilt[at : at + chance.choice((1, 8, 100))]
        elif kind == 3:
            spoilt[at:at] = spoilt[at : at + chance.choice((4, 40, 400))]
        else:
            del spoilt[at:]
    return bytes(spoilt)


def try_picture(folder: Path, data: bytes) -> bool:
    """Whether a picture came of it. Raises AssertionError for what may come of no photograph."""
    photo = folder / "photo.jpg"
    photo.write_bytes(data)
    with limited():
        seen = look_at(photo)
        made = answer(photo, folder / "cache")
    assert photo.read_bytes() == data
    text = getattr(made, "message", None)
    assert text is None or str(text).strip()
    assert seen is None or seen.kind
    return text is None
