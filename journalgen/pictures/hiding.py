"""Destroys regions of a picture so that nothing of them can be had back.

Blurring is not enough. A blur is a sum whose weights are known: it can be undone in part, and
where a region holds one of few things (a number plate, a house number, a face among friends), each
candidate can be blurred in the same way and held against the picture. A mosaic of the region's own
averages falls to the same comparison. So nothing inside a region takes part in what replaces it:
the patch is a smooth blend of the averages of strips around it, and two photographs that differ
only inside the region give the same picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PIL import Image, ImageStat

from journalgen.pictures.measures import Box

_Colour = tuple[float, ...]
_GREY: Final = 128.0
_STRIP: Final = 8
"""A strip is an eighth of the region's shorter side wide."""


def destroy(image: Image.Image, regions: Sequence[Box]) -> None:
    """Replaces every region of an L, RGB or CMYK picture, in place, by a blend of its surroundings."""
    # Strips of one region may lie in another, so all are marked before any is replaced.
    visible = Image.new("L", image.size, 255)
    for region in regions:
        visible.paste(0, region)
    patches = [_patch(image, visible, region) for region in regions]
    for region, patch in zip(regions, patches, strict=True):
        image.paste(patch, region)


def _patch(image: Image.Image, visible: Image.Image, region: Box) -> Image.Image:
    left, top, right, bottom = region
    depth = max(2, min(right - left, bottom - top) // _STRIP)
    strips = (
        (left, top - depth, right, top),
        (right, top, right + depth, bottom),
        (left, bottom, right, bottom + depth),
        (left - depth, top, left, bottom),
    )
    seen = [_mean(image, visible, strip) for strip in strips]
    known = [colour for colour in seen if colour is not None]
    middle = _blend(known) if known else (_GREY,) * len(image.getbands())
    above, beyond, below, before = (colour or middle for colour in seen)
    cells = (
        _blend((above, before)), above, _blend((above, beyond)),
        before, middle, beyond,
        _blend((below, before)), below, _blend((below, beyond)),
    )  # fmt: skip
    coarse = Image.frombytes(image.mode, (3, 3), bytes(round(band) for cell in cells for band in cell))
    return coarse.resize((right - left, bottom - top), Image.Resampling.BILINEAR)


def _mean(image: Image.Image, visible: Image.Image, strip: Box) -> _Colour | None:
    """The mean colour of what may be seen of a strip; None where nothing may."""
    box = (max(0, strip[0]), max(0, strip[1]), min(image.width, strip[2]), min(image.height, strip[3]))
    if box[0] >= box[2] or box[1] >= box[3]:
        return None
    mask = visible.crop(box)
    if mask.getbbox() is None:
        return None
    return tuple(ImageStat.Stat(image.crop(box), mask).mean)


def _blend(colours: Sequence[_Colour]) -> _Colour:
    return tuple(sum(bands) / len(colours) for bands in zip(*colours, strict=True))
