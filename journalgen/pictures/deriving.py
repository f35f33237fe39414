"""One original's bytes to the bytes of its pictures: upright, hidden, reduced, in sRGB, encoded.

Nothing is read or written here, so the same bytes give the same pictures anywhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import Final

from msgspec import Struct
from PIL import Image
from PIL.ExifTags import Base
from PIL.JpegImagePlugin import JpegImageFile

from journalgen.pictures.colour import flatten, to_srgb
from journalgen.pictures.encoding import encode_avif, encode_jpeg
from journalgen.pictures.hiding import destroy
from journalgen.pictures.measures import HidesNothing, Size, boxes, choose_shrink, choose_sizes
from journalgen.pictures.model import HIDE_OUTSIDE, Refused
from journalgen.pictures.opening import decoding, open_original
from journalgen.values import Rectangle

_GAP: Final = 1.2
"""A picture is averaged down to this many times its new size first; encoding changes it far more than that does."""

_TURNS: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_LIES_ON_ITS_SIDE: Final = 5  # and every orientation above


class Encoded(Struct, frozen=True):
    """One width of a picture in both formats."""

    width: int
    height: int
    avif: bytes
    jpeg: bytes


class Derived(Struct, frozen=True):
    """All that is made of one original."""

    width: int  # pixels of the upright original
    height: int
    tint: str  # #rrggbb
    variants: tuple[Encoded, ...]  # rising widths


class Reduced(Struct, frozen=True):
    """The pictures of one original before they are encoded."""

    width: int  # pixels of the upright original
    height: int
    pictures: tuple[Image.Image, ...]  # RGB in sRGB, rising widths


class _Upright(Struct, frozen=True):
    image: Image.Image  # L, RGB or CMYK
    size: Size  # of the upright original, which `image` may be smaller than
    shrink: int  # how many times smaller
    profile: bytes | None


def derive(data: bytes, hide: Sequence[Rectangle]) -> Derived:
    """Makes every width of one original. Raises Refused if it cannot be decoded or a region lies outside it."""
    reduced = reduce(data, hide)
    variants = tuple(
        Encoded(picture.width, picture.height, encode_avif(picture), encode_jpeg(picture))
        for picture in reduced.pictures
    )
    return Derived(reduced.width, reduced.height, _tint(reduced.pictures[0]), variants)


def reduce(data: bytes, hide: Sequence[Rectangle]) -> Reduced:
    """As `derive`, up to the pixels that are encoded."""
    upright = _decode(data)
    if hide:
        try:
            regions = boxes(hide, upright.size, upright.shrink)
        except HidesNothing as slip:
            raise Refused(HIDE_OUTSIDE, str(slip)) from None
        destroy(upright.image, regions)
    pictures = [*_from_the_largest(upright, choose_sizes(upright.size))]
    return Reduced(*upright.size, tuple(reversed(pictures)))


def _decode(data: bytes) -> _Upright:
    image = open_original(BytesIO(data))
    with decoding():
        size = image.size
        shrink = _decode_small(image)
        image.load()
        # TIFF and HEIC are turned by their decoders, which also take the orientation away.
        orientation = _orientation(image)
        if image.format in ("TIFF", "HEIF"):
            size = image.size
        profile = image.info.get("icc_profile")
        flat = flatten(image)
        del image  # beside what is made of it, it need not be held
        if orientation in _TURNS:
            flat = flat.transpose(_TURNS[orientation])
    flat.info = {}  # encoders take comments and profiles from here
    upright_size = size[::-1] if orientation >= _LIES_ON_ITS_SIDE else size
    return _Upright(flat, upright_size, shrink, profile if isinstance(profile, bytes) else None)


def _decode_small(image: Image.Image) -> int:
    """Has a JPEG decoded at a half, quarter or eighth where that is plenty; says which."""
    if not isinstance(image, JpegImageFile):
        return 1
    width, height = image.size
    across = height if _orientation(image) >= _LIES_ON_ITS_SIDE else width
    shrink = choose_shrink(across)
    drafted = image.draft(None, (max(1, width // shrink), max(1, height // shrink))) if shrink > 1 else None
    return round(width / drafted[1][2]) if drafted else 1


def _orientation(image: Image.Image) -> int:
    """The EXIF orientation, 1 to 8; 1 where there is none or it cannot be read.

    Read from EXIF alone: other blocks that may speak of orientation are ignored by browsers too,
    and the keeper has seen the photograph as they show it.
    """
    exif = Image.Exif()
    try:
        with decoding():
            exif.load(image.info.get("exif") or b"")
            value = exif.get(Base.Orientation, 1)
    except Refused:
        return 1
    return value if value in _TURNS else 1


def _from_the_largest(upright: _Upright, sizes: Sequence[Size]) -> Iterator[Image.Image]:
    """The sRGB pictures from the largest down, each made from the one before."""
    picture = upright.image
    for position, size in enumerate(reversed(sizes)):
        if picture.size != size:
            picture = picture.resize(size, Image.Resampling.LANCZOS, reducing_gap=_GAP)
        if position == 0:
            # After the reduction, since it is the costliest step a pixel; the filter hardly minds which
            # colour space it works in.
            picture = to_srgb(picture, upright.profile)
            picture.info = {}
        yield picture


def _tint(picture: Image.Image) -> str:
    return "#" + picture.resize((1, 1), Image.Resampling.BOX).tobytes().hex()
