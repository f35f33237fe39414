"""Brings the pixels of an original to eight bits without transparency, and its colours to sRGB."""

from __future__ import annotations

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


def flatten(image: Image.Image) -> Image.Image:
    """The loaded picture as L, RGB or CMYK of eight bits, still in its own colour space, laid on white.

    Raises Refused for floating-point pixels that are no numbers.
    """
    mode = image.mode
    if mode.startswith("I;16"):
        return _from_sixteen_bits(image)
    if mode in ("I", "F"):
        return _from_open_scale(image)
    if mode == "LAB":
        return _from_lab(image)
    if mode == "1":
        return image.convert("L")
    if image.has_transparency_data:
        return _lay_on_white(image)
    return image if mode in _PROFILE_SPACES else image.convert("RGB")


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


def _from_sixteen_bits(image: Image.Image) -> Image.Image:
    low, high = 0, 65_535
    if isinstance(image, TiffImageFile):
        high = 2 ** image.tag_v2.get(BITSPERSAMPLE, (16,))[0] - 1
        if image.tag_v2.get(PHOTOMETRIC_INTERPRETATION) == _WHITE_IS_ZERO:
            low, high = high, low
    return _scale(image.convert("I"), low, high)


def _from_open_scale(image: Image.Image) -> Image.Image:
    # 32-bit and floating-point samples carry no agreed white: their darkest becomes black, their
    # brightest white, so that something can be seen whatever unit they were taken in.
    low, high = image.getextrema()
    if isinstance(low, tuple) or isinstance(high, tuple) or not (isfinite(low) and isfinite(high)):
        raise Refused(BROKEN, "The picture has pixels that are no numbers.")
    return _scale(image, low, high)


def _scale(image: Image.Image, low: float, high: float) -> Image.Image:
    factor = 255 / ((high - low) or 1)
    return image.point(lambda value: value * factor + (0.5 - low * factor)).convert("L")


def _lay_on_white(image: Image.Image) -> Image.Image:
    grey = image.mode in ("L", "LA", "La")
    clear = image.convert("LA" if grey else "RGBA")
    ground = Image.new("L" if grey else "RGB", image.size, "white")
    ground.paste(clear.convert(ground.mode), mask=clear.getchannel("A"))
    return ground
