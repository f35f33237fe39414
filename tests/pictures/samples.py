"""Photographs made for the occasion: patterns, profiles, and files put together byte by byte."""

from __future__ import annotations

import hashlib
import struct
import zlib
from decimal import Decimal
from pathlib import Path

from PIL import Image, ImageChops, ImageStat
from pillow_heif import register_heif_opener

from journalgen.pictures import Fault, Picture, Request, prepare
from journalgen.values import Rectangle

register_heif_opener()

RED, GREEN, BLUE, YELLOW = (220, 30, 30), (30, 160, 60), (30, 60, 200), (230, 220, 40)
WRITABLE = ("JPEG", "PNG", "WEBP", "AVIF", "TIFF", "HEIF")


def corners(width: int = 96, height: int = 64) -> Image.Image:
    """Red, green, blue and yellow quarters, reading from the upper left."""
    image = Image.new("RGB", (width, height), RED)
    image.paste(GREEN, (width // 2, 0, width, height // 2))
    image.paste(BLUE, (0, height // 2, width // 2, height))
    image.paste(YELLOW, (width // 2, height // 2, width, height))
    return image


def noise(width: int, height: int, seed: int = 1, cell: int = 1) -> Image.Image:
    """Black and white cells in no order: the hardest pattern to lose by accident."""
    small = (-(-width // cell), -(-height // cell))
    dots = Image.frombytes("L", small, hashlib.shake_256(str(seed).encode()).digest(small[0] * small[1]))
    image = dots.point(lambda value: 255 * (value > 127)).resize(
        (small[0] * cell, small[1] * cell), Image.Resampling.BOX
    )
    return image.crop((0, 0, width, height)).convert("RGB")


def rectangle(x: str | int, y: str | int, width: str | int, height: str | int, *, per_cent: bool = False) -> Rectangle:
    return Rectangle(Decimal(x), Decimal(y), Decimal(width), Decimal(height), per_cent)


def answer(file: Path, cache: Path, *hide: Rectangle) -> Picture | Fault:
    """What one request is answered with."""
    request = Request(str(file), hide)
    return prepare([request], cache).answers[request]


def picture(file: Path, cache: Path, *hide: Rectangle) -> Picture:
    found = answer(file, cache, *hide)
    assert isinstance(found, Picture), found
    return found


def fault(file: Path, cache: Path, *hide: Rectangle) -> Fault:
    found = answer(file, cache, *hide)
    assert isinstance(found, Fault), found
    assert found.message.endswith(".")
    assert "\n" not in found.message
    return found


def largest(found: Picture, cache: Path, kind: str = "jpeg") -> Image.Image:
    """The largest derived picture, decoded."""
    name = getattr(found.variants[-1], kind)
    with Image.open(cache / name) as image:
        image.load()
        assert image.mode == "RGB"
        return image.copy()


def difference(one: Image.Image, other: Image.Image) -> float:
    """Mean absolute difference, in levels of 255."""
    means = ImageStat.Stat(ImageChops.difference(one.convert("RGB"), other.convert("RGB"))).mean
    return sum(means) / len(means)


def colour_at(image: Image.Image, across: float, down: float) -> tuple[int, ...]:
    """The mean colour of a small square around a point given in shares of the sides."""
    x, y = int(across * image.width), int(down * image.height)
    means = ImageStat.Stat(image.crop((x - 2, y - 2, x + 3, y + 3))).mean
    return tuple(round(mean) for mean in means)


def near(one: tuple[int, ...], other: tuple[int, ...], within: int = 14) -> bool:
    return all(abs(a - b) <= within for a, b in zip(one, other, strict=True))


def png(width: int, height: int, depth: int, kind: int, rows: bytes, *extra: tuple[bytes, bytes]) -> bytes:
    """A PNG put together by hand; `rows` are the samples, each row led by its filter byte."""
    header = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    chunks = [(b"IHDR", header), *extra, (b"IDAT", zlib.compress(rows)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body)) for name, body in chunks
    )


def swapped_profile(marker: str = "swapped") -> bytes:
    """An RGB profile whose red lies where the green of sRGB does, and the other way round."""
    red, green, blue = (0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7141)
    text = marker.encode("ascii") + b"\0"
    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, int(2.2 * 256)) + bytes(2)
    tags = {
        b"desc": b"desc" + bytes(4) + struct.pack(">I", len(text)) + text + bytes(78),
        b"wtpt": _xyz(0.9642, 1.0, 0.8249),
        b"rXYZ": _xyz(*green),
        b"gXYZ": _xyz(*red),
        b"bXYZ": _xyz(*blue),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    table, body, at = b"", b"", 128 + 4 + 12 * len(tags)
    for name, value in tags.items():
        padded = value + bytes(-len(value) % 4)
        table += struct.pack(">4sII", name, at + len(body), len(value))
        body += padded
    head = struct.pack(">I4sI4s4s4s", at + len(body), bytes(4), 0x02100000, b"mntr", b"RGB ", b"XYZ ")
    head += bytes(12) + b"acsp" + bytes(28) + struct.pack(">iii", *_fixed(0.9642, 1.0, 0.8249))
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def _xyz(*values: float) -> bytes:
    return b"XYZ " + bytes(4) + struct.pack(">iii", *_fixed(*values))


def _fixed(*values: float) -> tuple[int, ...]:
    return tuple(round(value * 65536) for value in values)
