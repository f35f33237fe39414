"""What is hidden is gone: not blurred, not averaged, gone."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from statistics import correlation, pstdev

import pytest
from PIL import Image

from journalgen.pictures import Picture
from journalgen.pictures.deriving import reduce
from journalgen.values import Rectangle
from tests.pictures.samples import (
    GREEN,
    colour_at,
    corners,
    difference,
    fault,
    largest,
    near,
    noise,
    picture,
    rectangle,
)

REGION = (100, 60, 260, 180)
HIDE = rectangle(100, 60, 160, 120)


def scene(seed: int = 1) -> Image.Image:
    """A green wall with a black and white pattern in REGION, and nowhere else."""
    image = Image.new("RGB", (400, 300), GREEN)
    image.paste(noise(REGION[2] - REGION[0], REGION[3] - REGION[1], seed, cell=8), REGION)
    return image


def greys(image: Image.Image, box: tuple[int, int, int, int]) -> list[int]:
    return list(image.convert("L").crop(box).tobytes())


def derived_bytes(found: Picture, cache: Path) -> list[bytes]:
    return [(cache / name).read_bytes() for variant in found.variants for name in (variant.avif, variant.jpeg)]


@pytest.mark.parametrize("kind", ["jpeg", "avif"])
@pytest.mark.parametrize("hide", [HIDE, rectangle(25, 20, 40, 40, per_cent=True)])
def test_nothing_of_a_hidden_pattern_can_be_seen(tmp_path: Path, hide: Rectangle, kind: str) -> None:
    scene().save(tmp_path / "photo.png")
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache", hide), tmp_path / "cache", kind)
    before, after = greys(scene(), REGION), greys(out, REGION)
    assert pstdev(before) > 100
    assert pstdev(after) < 3
    assert len(set(after)) == 1 or abs(correlation(before, after)) < 0.1


def test_photographs_that_differ_only_where_hidden_give_the_same_pictures(tmp_path: Path) -> None:
    pictures = []
    for seed in (1, 2):
        scene(seed).save(tmp_path / f"{seed}.png")
        pictures.append(picture(tmp_path / f"{seed}.png", tmp_path / "cache", HIDE))
    assert pictures[0] != pictures[1]
    assert derived_bytes(pictures[0], tmp_path / "cache") == derived_bytes(pictures[1], tmp_path / "cache")
    assert pictures[0].tint == pictures[1].tint


@pytest.mark.parametrize(
    "hide",
    [
        (rectangle(100, 60, 90, 120), rectangle(190, 60, 70, 120), rectangle(150, 100, 60, 60)),
        (rectangle(100, 60, 160, 60), rectangle(90, 120, 190, 60)),  # a strip half in the other, half on the wall
    ],
)
def test_regions_that_touch_and_overlap_tell_nothing_of_each_other(tmp_path: Path, hide: tuple[Rectangle, ...]) -> None:
    pictures = []
    for seed in (1, 2):
        scene(seed).save(tmp_path / f"{seed}.png")
        pictures.append(picture(tmp_path / f"{seed}.png", tmp_path / "cache", *hide))
    assert derived_bytes(pictures[0], tmp_path / "cache") == derived_bytes(pictures[1], tmp_path / "cache")


def test_what_is_not_hidden_stays(tmp_path: Path) -> None:
    corners(400, 300).save(tmp_path / "photo.png")
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache", rectangle(40, 40, 40, 40)), tmp_path / "cache")
    for box in ((0, 0, 400, 32), (0, 96, 400, 300), (96, 0, 400, 300)):
        assert difference(out.crop(box), corners(400, 300).crop(box)) < 4


def test_a_patch_takes_the_colours_around_it(tmp_path: Path) -> None:
    scene().save(tmp_path / "photo.png")
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache", HIDE), tmp_path / "cache")
    assert near(colour_at(out, 0.45, 0.4), GREEN)


@pytest.mark.parametrize("tag", range(1, 9))
def test_a_region_is_meant_in_the_upright_picture(tmp_path: Path, tag: int) -> None:
    lay_down = {
        2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }  # fmt: skip
    stored = scene().transpose(lay_down[tag]) if tag in lay_down else scene()
    exif = Image.Exif()
    exif[0x0112] = tag
    stored.save(tmp_path / "photo.jpg", quality=95, exif=exif)
    out = largest(picture(tmp_path / "photo.jpg", tmp_path / "cache", HIDE), tmp_path / "cache")
    assert pstdev(greys(out, REGION)) < 3


@pytest.mark.parametrize("tag", [1, 3])
def test_a_region_of_a_photograph_decoded_small_is_destroyed_to_its_edges(tmp_path: Path, tag: int) -> None:
    photo = Image.new("RGB", (6403, 301), GREEN)
    photo.paste(noise(401, 101, cell=4), (3001, 99))
    exif = Image.Exif()
    exif[0x0112] = tag
    (photo.rotate(180) if tag == 3 else photo).save(tmp_path / "photo.jpg", quality=98, subsampling=0, exif=exif)
    hide = rectangle(3001, 99, 401, 101)
    out = largest(picture(tmp_path / "photo.jpg", tmp_path / "cache", hide), tmp_path / "cache")
    assert out.size == (1600, 75)
    assert pstdev(greys(out, (0, 0, 1600, 75))) < 3
    seen = largest(picture(tmp_path / "photo.jpg", tmp_path / "cache"), tmp_path / "cache")
    assert pstdev(greys(seen, (755, 28, 845, 46))) > 30


@pytest.mark.parametrize("tag", [1, 3, 6])
@pytest.mark.parametrize("width", [4000, 4003, 9001])
def test_photographs_decoded_small_that_differ_only_where_hidden_give_the_same_pixels(width: int, tag: int) -> None:
    """The pixels of a block are decoded together, so all of one that a region cuts say something of what is hidden."""
    exif = Image.Exif()
    exif[0x0112] = tag
    pixels = []
    for seed in (1, 2):
        photo = Image.new("RGB", (width, 301), GREEN)
        photo.paste(noise(303, 101, seed, cell=3), (1203, 99))
        lain = {1: photo, 3: photo.rotate(180), 6: photo.transpose(Image.Transpose.ROTATE_90)}[tag]
        out = BytesIO()
        lain.save(out, "JPEG", quality=70, exif=exif)
        reduced = reduce(out.getvalue(), [rectangle(1203, 99, 303, 101)])
        pixels.append([image.tobytes() for image in reduced.pictures])
    assert pixels[0] == pixels[1]


@pytest.mark.parametrize("mode", ["L", "CMYK", "P", "RGBA", "I;16"])
def test_regions_are_destroyed_in_every_kind_of_pixels(tmp_path: Path, mode: str) -> None:
    image = (
        scene().convert("L").convert("I").point(lambda value: value * 257).convert(mode)
        if mode == "I;16"
        else (scene().convert(mode))
    )
    image.save(tmp_path / "photo.tif")
    out = largest(picture(tmp_path / "photo.tif", tmp_path / "cache", HIDE), tmp_path / "cache")
    assert pstdev(greys(out, REGION)) < 3


def test_a_region_partly_outside_is_destroyed_up_to_the_edge(tmp_path: Path) -> None:
    noise(300, 200, cell=8).save(tmp_path / "photo.png")
    hide = rectangle(200, -50, 500, 150)
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache", hide), tmp_path / "cache")
    before, after = greys(noise(300, 200, cell=8), (200, 0, 300, 100)), greys(out, (200, 0, 300, 100))
    assert abs(correlation(before, after)) < 0.1
    assert pstdev(after) < 40 < 100 < pstdev(before)


def test_a_photograph_hidden_whole_is_grey(tmp_path: Path) -> None:
    noise(300, 200).save(tmp_path / "photo.png")
    hide = rectangle(0, 0, 100, 100, per_cent=True)
    found = picture(tmp_path / "photo.png", tmp_path / "cache", hide)
    assert found.tint == "#808080"
    assert pstdev(greys(largest(found, tmp_path / "cache"), (0, 0, 300, 200))) < 1


@pytest.mark.parametrize(
    "hide", [rectangle(300, 0, 10, 10), rectangle(0, 150, 50, 60, per_cent=True), rectangle(5, 5, 0, 9)]
)
def test_a_region_outside_keeps_the_photograph_from_being_published(tmp_path: Path, hide: Rectangle) -> None:
    noise(300, 200).save(tmp_path / "photo.png")
    cache = tmp_path / "cache"
    found = fault(tmp_path / "photo.png", cache, rectangle(0, 0, 5, 5), hide)
    assert found.kind == "hide-outside"
    assert "300 by 200 pixels" in found.message
    assert not list(cache.glob("*.avif")) + list(cache.glob("*.jpg"))
