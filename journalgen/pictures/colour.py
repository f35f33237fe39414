"""Brings the pixels of an original to eight bits without transparency, and its colours to sRGB."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from math import isfinite
from typing import Final

from PIL import Image, ImageCms
from PIL.TiffImagePlugin import BITSPERSAMPLE, PHOTOMETRIC_INTERPRETATION, TiffImageFile

from journalgen.pictures.model import BROKEN, Refused

MAX_PROFILE: Final = 4_000_000
"""Bytes of a colour profile; those of printing presses have two million, and none is larger in earnest."""

_PROFILE_SPACES: Final = {"L": "GRAY", "RGB": "RGB", "CMYK": "CMYK"}
_WHITE_IS_ZERO: Final = 0
_STRIP: Final = 1_000_000  # pixels


def flatten(image: Image.Image) -> Image.Image:
    """The loaded picture as L, RGB or CMYK of eight bits, still in its own colour space, laid on white.

    Raises Refused for floating-point pixels that are no numbers.
    """
    if image.mode in _PROFILE_SPACES and not image.has_transparency_data:
        return image
    return _by_strips(image, _flattening(image))


def _flattening(image: Image.Image) -> Callable[[Image.Image], Image.Image]:
    """What is to be done with each strip of a picture."""
    mode = image.mode
    if mode.startswith("I;16"):
        return _scaling(*_sixteen_bits(image))
    if mode in ("I", "F"):
        return _scaling(*_open_scale(image))
    if mode == "LAB":
        return _from_lab
    if mode == "1":
        return lambda strip: strip.convert("L")
    return _lay_on_white if image.has_transparency_data else lambda strip: strip.convert("RGB")


def _by_strips(image: Image.Image, change: Callable[[Image.Image], Image.Image]) -> Image.Image:
    """The picture with every pixel changed, a strip at a time: what lies between then takes next to no memory."""
    rows = max(1, _STRIP // image.width)
    changed = None
    for top in range(0, image.height, rows):
        strip = change(image.crop((0, top, image.width, min(top + rows, image.height))))
        changed = changed or Image.new(strip.mode, image.size)
        changed.paste(strip, (0, top))
    assert changed is not None  # noqa: S101 - no picture is without a row
    return changed


def to_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """An L, RGB or CMYK picture as RGB in sRGB; a profile that is broken or of another kind counts as none."""
    if profile and len(profile) <= MAX_PROFILE:
        try:
            return _through_profile(image, ImageCms.ImageCmsProfile(BytesIO(profile)))
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            return image.convert("RGB")
    return image if image.mode == "RGB" else image.convert("RGB")


def _through_profile(image: Image.Image, profile: ImageCms.ImageCmsProfile) -> Image.Image:
    space = profile.profile.xcolor_space.strip()
    if image.mode == "L" and space == "RGB":
        image = image.convert("RGB")
    if space != _PROFILE_SPACES[image.mode]:
        return image.convert("RGB")
    return _transform(image, profile)


def _transform(image: Image.Image, profile: ImageCms.ImageCmsProfile) -> Image.Image:
    transformed = ImageCms.profileToProfile(
        image,
        profile,
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        outputMode="RGB",
        flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    assert transformed is not None  # noqa: S101 - None is the answer to `inPlace` only
    return transformed


def _from_lab(image: Image.Image) -> Image.Image:
    return _transform(image, ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")))


def _sixteen_bits(image: Image.Image) -> tuple[float, float]:
    """The samples that stand for black and for white."""
    low, high = 0, 65_535
    if isinstance(image, TiffImageFile):
        high = 2 ** image.tag_v2.get(BITSPERSAMPLE, (16,))[0] - 1
        if image.tag_v2.get(PHOTOMETRIC_INTERPRETATION) == _WHITE_IS_ZERO:
            low, high = high, low
    return low, high


def _open_scale(image: Image.Image) -> tuple[float, float]:
    # 32-bit and floating-point samples carry no agreed white: their darkest becomes black, their
    # brightest white, so that something can be seen whatever unit they were taken in.
    low, high = image.getextrema()
    if isinstance(low, tuple) or isinstance(high, tuple) or not (isfinite(low) and isfinite(high)):
        raise Refused(BROKEN, "The picture has pixels that are no numbers.")
    return low, high


def _scaling(low: float, high: float) -> Callable[[Image.Image], Image.Image]:
    factor = 255 / ((high - low) or 1)

    def scale(strip: Image.Image) -> Image.Image:
        open_scale = strip if strip.mode in ("I", "F") else strip.convert("I")
        return open_scale.point(lambda value: value * factor + (0.5 - low * factor)).convert("L")

    return scale


def _lay_on_white(image: Image.Image) -> Image.Image:
    grey = image.mode in ("L", "LA", "La")
    clear = image.convert("LA" if grey else "RGBA")
    ground = Image.new("L" if grey else "RGB", image.size, "white")
    ground.paste(clear.convert(ground.mode), mask=clear.getchannel("A"))
    return ground
