"""Photographs made to hurt whoever opens them: small on disk, huge in memory, endless, or not what they say."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from functools import cache
from io import BytesIO
from typing import Final

from PIL import Image

from tests.pictures.samples import corners, noise, png, swapped_profile


def flat_png(width: int, height: int, depth: int, kind: int, bits: int, *extra: tuple[bytes, bytes]) -> bytes:
    """A PNG of nothing but noughts, which packs a thousandfold."""
    packing, row = zlib.compressobj(1), bytes(1 + (width * bits + 7) // 8)
    packed = b"".join(packing.compress(row) for _ in range(height)) + packing.flush()
    whole = png(width, height, depth, kind, b"", *extra)
    start = whole.index(b"IDAT") - 4
    chunk = struct.pack(">I", len(packed)) + b"IDAT" + packed + struct.pack(">I", zlib.crc32(b"IDAT" + packed))
    return whole[:start] + chunk + png(1, 1, 8, 0, b"")[-12:]


def saved(image: Image.Image, kind: str, **options: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def plain(side: int, mode: str = "RGB") -> Image.Image:
    return Image.new(mode, (side, side), 90)


def claiming(jpeg: bytes, side: int) -> bytes:
    """A JPEG with another size written into its header."""
    at = max(jpeg.find(b"\xff\xc0"), jpeg.find(b"\xff\xc2")) + 5
    return jpeg[:at] + struct.pack(">HH", side, side) + jpeg[at + 4 :]


def avif_claiming(side: int) -> bytes:
    """An AVIF with another size written into its boxes."""
    whole = saved(corners(), "AVIF")
    at = whole.index(b"ispe") + 8
    return whole[:at] + struct.pack(">II", side, side) + whole[at + 8 :]


def tiff_with(**tags: tuple[int, int]) -> bytes:
    """A packed TIFF in which numbers of its directory are replaced: tag name to (tag, value)."""
    whole = bytearray(saved(corners(), "TIFF", compression="tiff_lzw", tiffinfo={278: 64}))
    (first,) = struct.unpack_from("<I", whole, 4)
    (entries,) = struct.unpack_from("<H", whole, first)
    for at in range(first + 2, first + 2 + 12 * entries, 12):
        (tag,) = struct.unpack_from("<H", whole, at)
        for wanted, value in tags.values():
            if tag == wanted:
                struct.pack_into("<HHII", whole, at, tag, 4, 1, value)
    return bytes(whole)


def many_scans(side: int, times: int) -> bytes:
    """A progressive JPEG whose last pass over the pixels comes again and again."""
    whole = saved(plain(side), "JPEG", progressive=True)
    last = whole[whole.rindex(b"\xff\xda") : -2]
    return whole[:-2] + last * times + whole[-2:]


def one_component_a_scan(side: int) -> bytes:
    """A JPEG that is not progressive and yet comes in three passes; there are no pixels in it."""
    whole = claiming(saved(corners(), "JPEG", quality=90, subsampling=0), side)
    return whole[: whole.rindex(b"\xff\xda")] + b"".join(
        b"\xff\xda\0\x08\x01" + bytes((n, 0x11 * (n > 1), 0, 63, 0)) + b"\0\0" for n in (1, 2, 3)
    )


def circling_exif() -> bytes:
    """EXIF whose directories lead back to themselves and to each other."""
    entries = struct.pack("<H", 4) + struct.pack("<HHII", 0x0112, 3, 1, 1)
    entries += b"".join(struct.pack("<HHII", tag, 4, 1, 8) for tag in (0x8769, 0x8825, 0xA005))
    return b"Exif\0\0II*\0\x08\0\0\0" + entries + struct.pack("<I", 8)


def exif_that_claims_much() -> bytes:
    """EXIF whose only text says that it has four thousand million letters."""
    entry = (
        struct.pack("<H", 2) + struct.pack("<HHII", 0x010E, 2, 0xFFFFFFF0, 26) + struct.pack("<HHII", 0x0112, 3, 1, 1)
    )
    return b"Exif\0\0II*\0\x08\0\0\0" + entry + struct.pack("<I", 0)


def circling_tiff() -> bytes:
    """A TIFF whose first directory is followed by itself."""
    whole = bytearray(saved(corners(), "TIFF"))
    (first,) = struct.unpack_from("<I", whole, 4)
    (entries,) = struct.unpack_from("<H", whole, first)
    struct.pack_into("<I", whole, first + 2 + 12 * entries, first)
    return bytes(whole)


def profile_of(octets: int) -> bytes:
    """A colour profile padded to a size."""
    profile = bytearray(swapped_profile().ljust(octets, b"\0"))
    struct.pack_into(">I", profile, 0, octets)
    return bytes(profile)


def several(kind: str, frames: int, **options: object) -> bytes:
    """Pictures one after another, the first with its four corners."""
    rest = [noise(96, 64, seed) for seed in range(1, frames)]
    return saved(corners(), kind, save_all=True, append_images=rest, **options)


def sixteen_bits() -> bytes:
    """The corners as a PNG of sixteen bits a channel."""
    image = corners()
    rows = b"".join(
        b"\0" + b"".join(bytes((value, value)) for value in image.crop((0, y, 96, y + 1)).tobytes()) for y in range(64)
    )
    return png(96, 64, 16, 2, rows)


REFUSED: Final[dict[str, tuple[str, Callable[[], bytes]]]] = {
    "a PNG that unfolds to 475 MB": ("too-large", lambda: flat_png(10_900, 10_900, 8, 2, 24)),
    "one with transparency and sixteen bits": ("too-large", lambda: flat_png(7_400, 7_400, 16, 6, 64)),
    "a narrow one as long as can be": ("too-large", lambda: flat_png(1_800, 65_500, 8, 2, 24)),
    "a WebP of 27 megapixels": ("too-large", lambda: saved(plain(5_200), "WEBP", lossless=True, method=0)),
    "an AVIF of 36 megapixels": ("too-large", lambda: avif_claiming(6_000)),
    "a TIFF in one strip": ("too-large", lambda: tiff_with(width=(256, 8_000), height=(257, 8_000), rows=(278, 8_000))),
    "a JPEG of four colours in layers": (
        "too-large", lambda: claiming(saved(plain(64, "CMYK"), "JPEG", progressive=True), 7_000)
    ),
    "a JPEG of a thousand layers": ("too-large", lambda: many_scans(200, 1_000)),
    "a large JPEG of thirty layers": ("too-large", lambda: claiming(many_scans(200, 20), 8_000)),
    "a plain JPEG in three passes": ("too-large", lambda: one_component_a_scan(10_900)),
    "SVG": ("broken", lambda: b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" onload="hit(1)"/>'),
    "HTML behind a start of JPEG": ("broken", lambda: b"\xff\xd8\xff\xe0\0\x10JFIF\0<html><script>hit(1)</script>" * 9),
    "HTML behind a start of PNG": ("broken", lambda: b"\x89PNG\r\n\x1a\n<html><script>hit(1)</script>" * 9),
    "GIF that moves": ("broken", lambda: several("GIF", 4)),
    "PostScript": ("broken", lambda: b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 96 64\n"),
    "a TIFF that claims a strip of four gigabytes": ("broken", lambda: tiff_with(octets=(279, 0xFFFFFFF0))),
    "a TIFF whose strip lies beyond its end": ("broken", lambda: tiff_with(start=(273, 0xFFFFFF00))),
}  # fmt: skip
"""What must be refused, with the kind of its fault."""

RIGHT: Final[dict[str, Callable[[], bytes]]] = {
    "a circle in EXIF": lambda: saved(corners(), "JPEG", quality=95, exif=circling_exif()),
    "EXIF that claims much": lambda: saved(corners(), "JPEG", quality=95, exif=exif_that_claims_much()),
    "a circle of directories in a TIFF": circling_tiff,
    "a profile of 15 MB in a JPEG": lambda: saved(corners(), "JPEG", quality=95, icc_profile=profile_of(15_000_000)),
    "a profile of 60 MB in a TIFF": lambda: saved(corners(), "TIFF", icc_profile=profile_of(60_000_000)),
    "a profile of 60 MB in a PNG": lambda: saved(corners(), "PNG", icc_profile=profile_of(60_000_000)),
    "a profile that is none": lambda: saved(corners(), "JPEG", quality=95, icc_profile=b"acsp" * 500),
    "a PNG that moves": lambda: several("PNG", 4),
    "a WebP that moves": lambda: several("WEBP", 200, lossless=True),
    "an AVIF that moves": lambda: several("AVIF", 4, quality=95),
    "a TIFF of a hundred pages": lambda: several("TIFF", 100),
    "a JPEG with another behind it": lambda: several("MPO", 3, quality=95),
    "CMYK": lambda: saved(corners().convert("CMYK"), "JPEG", quality=95),
    "CMYK in a TIFF": lambda: saved(corners().convert("CMYK"), "TIFF"),
    "sixteen bits a channel": sixteen_bits,
    "a JPEG with HTML behind it": lambda: saved(corners(), "JPEG", quality=95) + b"<script>hit(1)</script>",
    "a JPEG with HTML in its comment": lambda: saved(corners(), "JPEG", quality=95, comment="<script>hit(1)</script>"),
}
"""What must become a picture of the four corners."""


@cache
def biting(name: str) -> bytes:
    """The bytes of a photograph by its name."""
    return REFUSED[name][1]() if name in REFUSED else RIGHT[name]()
