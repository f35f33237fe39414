"""Every kind of original comes out as the picture it shows, whatever its name."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from tests.pictures.samples import (
    BLUE,
    GREEN,
    RED,
    WRITABLE,
    YELLOW,
    colour_at,
    corners,
    difference,
    largest,
    near,
    picture,
    png,
    swapped_profile,
)  # fmt: skip

EIGHTH = 1 / 8
LIMIT = 6.0  # levels; what encoding at these qualities costs the four-colour pattern is below it


def shows_corners(image: Image.Image) -> bool:
    return (
        near(colour_at(image, EIGHTH, EIGHTH), RED)
        and near(colour_at(image, 1 - EIGHTH, EIGHTH), GREEN)
        and near(colour_at(image, EIGHTH, 1 - EIGHTH), BLUE)
        and near(colour_at(image, 1 - EIGHTH, 1 - EIGHTH), YELLOW)
    )


@pytest.mark.parametrize("kind", WRITABLE)
def test_each_format_is_read_by_content_and_not_by_name(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "photo.txt"
    corners().save(file, kind, quality=95)
    found = picture(file, tmp_path / "cache")
    assert (found.width, found.height) == (96, 64)
    assert shows_corners(largest(found, tmp_path / "cache", "jpeg"))
    assert shows_corners(largest(found, tmp_path / "cache", "avif"))


@pytest.mark.parametrize("tag", range(1, 9))
@pytest.mark.parametrize("kind", WRITABLE)
def test_all_eight_orientations_come_out_upright(tmp_path: Path, kind: str, tag: int) -> None:
    lay_down = {
        2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }  # fmt: skip
    stored = corners().transpose(lay_down[tag]) if tag in lay_down else corners()
    exif = Image.Exif()
    exif[0x0112] = tag
    file = tmp_path / "photo"
    stored.save(file, kind, quality=95, exif=exif.tobytes())
    found = picture(file, tmp_path / "cache")
    assert (found.width, found.height) == (96, 64)
    assert shows_corners(largest(found, tmp_path / "cache"))


@pytest.mark.parametrize("value", [0, 9, 700])
def test_an_orientation_that_does_not_exist_turns_nothing(tmp_path: Path, value: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = value
    corners().save(tmp_path / "photo.jpg", quality=95, exif=exif)
    assert shows_corners(largest(picture(tmp_path / "photo.jpg", tmp_path / "cache"), tmp_path / "cache"))


def test_exif_that_is_rubbish_turns_nothing(tmp_path: Path) -> None:
    corners().save(tmp_path / "photo.jpg", quality=95, exif=b"Exif\0\0II*\0\xff\xff\xff\x7frubbish")
    assert shows_corners(largest(picture(tmp_path / "photo.jpg", tmp_path / "cache"), tmp_path / "cache"))


def ramp() -> Image.Image:
    return Image.linear_gradient("L").transpose(Image.Transpose.ROTATE_90)


def sixteen_bits(order: str) -> bytes:
    """Rows of 256 samples from 0 to 65535, evenly."""
    return b"".join(struct.pack(f"{order}256H", *(value * 257 for value in range(256))) for _ in range(64))


@pytest.mark.parametrize(
    ("mode", "order", "kind"), [("I;16", "<", "PNG"), ("I;16", "<", "TIFF"), ("I;16B", ">", "TIFF")]
)
def test_sixteen_bit_grey_is_scaled_and_not_clipped(tmp_path: Path, mode: str, order: str, kind: str) -> None:
    file = tmp_path / "photo"
    Image.frombytes(mode, (256, 64), sixteen_bits(order)).save(file, kind)
    out = largest(picture(file, tmp_path / "cache"), tmp_path / "cache")
    wanted = Image.frombytes("L", (256, 64), bytes(range(256)) * 64)
    assert difference(out, wanted) < LIMIT


def test_sixteen_bit_tiff_whose_white_is_zero_is_not_a_negative(tmp_path: Path) -> None:
    file = tmp_path / "photo"
    Image.frombytes("I;16", (256, 64), sixteen_bits("<")).save(file, "TIFF", tiffinfo={262: 1})
    data = file.read_bytes()
    entry = struct.pack("<HHIHH", 262, 3, 1, 1, 0)
    assert data.count(entry) == 1
    file.write_bytes(data.replace(entry, struct.pack("<HHIHH", 262, 3, 1, 0, 0)))
    out = largest(picture(file, tmp_path / "cache"), tmp_path / "cache")
    assert difference(out, Image.frombytes("L", (256, 64), bytes(range(255, -1, -1)) * 64)) < LIMIT


def test_sixteen_bit_colour_png_is_scaled(tmp_path: Path) -> None:
    row = b"\0" + b"".join(struct.pack(">3H", value * 257, 65535 - value * 257, 0x8080) for value in range(256))
    (tmp_path / "photo.png").write_bytes(png(256, 64, 16, 2, row * 64))
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache"), tmp_path / "cache")
    wanted = Image.frombytes("RGB", (256, 64), b"".join(bytes((v, 255 - v, 128)) for v in range(256)) * 64)
    assert difference(out, wanted) < LIMIT


@pytest.mark.parametrize("mode", ["I", "F"])
def test_samples_without_an_agreed_white_are_stretched_from_black_to_white(tmp_path: Path, mode: str) -> None:
    file = tmp_path / "photo.tif"
    ramp().convert(mode).point(lambda value: value * 300 + 1000).save(file)
    out = largest(picture(file, tmp_path / "cache"), tmp_path / "cache")
    assert difference(out, ramp()) < LIMIT


@pytest.mark.parametrize("kind", ["JPEG", "TIFF"])
def test_cmyk_is_not_inverted(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "photo"
    corners().convert("CMYK").save(file, kind, quality=95)
    out = largest(picture(file, tmp_path / "cache"), tmp_path / "cache")
    assert difference(out, corners()) < LIMIT


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP", "AVIF", "HEIF"])
def test_transparency_is_laid_on_white(tmp_path: Path, kind: str) -> None:
    clear = corners().convert("RGBA")
    clear.paste((0, 0, 0, 0), (0, 0, 48, 64))
    clear.paste((0, 0, 0, 128), (48, 32, 96, 64))
    clear.save(tmp_path / "photo", kind, quality=95)
    out = largest(picture(tmp_path / "photo", tmp_path / "cache"), tmp_path / "cache")
    assert near(colour_at(out, EIGHTH, 0.5), (255, 255, 255))
    assert near(colour_at(out, 1 - EIGHTH, EIGHTH), GREEN)
    assert near(colour_at(out, 1 - EIGHTH, 1 - EIGHTH), (127, 127, 127))


@pytest.mark.parametrize("mode", ["P", "1", "L", "LA", "PA"])
def test_few_colours_grey_and_black_and_white_come_out_right(tmp_path: Path, mode: str) -> None:
    grey = Image.new("L", (96, 64), 255)
    grey.paste(0, (0, 0, 48, 64))
    source = grey.convert("RGB").convert("P", palette=Image.Palette.ADAPTIVE) if mode in ("P", "PA") else grey
    file = tmp_path / "photo"
    source.convert(mode).save(file, "TIFF" if mode == "PA" else "PNG")
    assert difference(largest(picture(file, tmp_path / "cache"), tmp_path / "cache"), grey) < LIMIT


def test_a_palette_with_a_transparent_colour_is_laid_on_white(tmp_path: Path) -> None:
    few = corners().convert("P", palette=Image.Palette.ADAPTIVE)
    few.save(tmp_path / "photo.png", transparency=few.getpixel((0, 0)))
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache"), tmp_path / "cache")
    assert near(colour_at(out, EIGHTH, EIGHTH), (255, 255, 255))
    assert near(colour_at(out, 1 - EIGHTH, EIGHTH), GREEN)


@pytest.mark.parametrize("kind", WRITABLE)
def test_colours_go_through_the_embedded_profile(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "photo"
    Image.new("RGB", (64, 64), (230, 20, 20)).save(file, kind, quality=95, icc_profile=swapped_profile())
    out = largest(picture(file, tmp_path / "cache"), tmp_path / "cache")
    assert near(colour_at(out, 0.5, 0.5), (20, 230, 20), within=20)


def test_a_lab_tiff_is_shown_in_its_colours(tmp_path: Path) -> None:
    profile = ImageCms.createProfile("LAB")
    lab = ImageCms.profileToProfile(corners(), ImageCms.createProfile("sRGB"), profile, outputMode="LAB")
    assert lab is not None
    lab.save(tmp_path / "photo.tif")
    assert (
        difference(largest(picture(tmp_path / "photo.tif", tmp_path / "cache"), tmp_path / "cache"), corners()) < LIMIT
    )


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
@pytest.mark.parametrize("profile", [b"no profile at all", swapped_profile()[:200], bytes(4_500_000)])
def test_a_broken_or_huge_profile_counts_as_none(tmp_path: Path, kind: str, profile: bytes) -> None:
    file = tmp_path / "photo"
    corners().save(file, kind, quality=95, icc_profile=profile)
    assert shows_corners(largest(picture(file, tmp_path / "cache"), tmp_path / "cache"))


def test_a_grey_photograph_with_a_colour_profile_stays_grey(tmp_path: Path) -> None:
    ramp().save(tmp_path / "photo.jpg", quality=95, icc_profile=swapped_profile())
    out = largest(picture(tmp_path / "photo.jpg", tmp_path / "cache"), tmp_path / "cache")
    assert difference(out, ramp()) < LIMIT


def test_a_cmyk_photograph_with_a_profile_of_another_kind_keeps_its_colours(tmp_path: Path) -> None:
    corners().convert("CMYK").save(tmp_path / "photo.jpg", quality=95, icc_profile=swapped_profile())
    assert shows_corners(largest(picture(tmp_path / "photo.jpg", tmp_path / "cache"), tmp_path / "cache"))


def test_a_png_with_a_bloated_text_is_still_a_picture(tmp_path: Path) -> None:
    row = b"\0" + bytes((10, 200, 30)) * 32
    text = b"Comment\0" + b"x" * 70_000_000
    (tmp_path / "photo.png").write_bytes(png(32, 32, 8, 2, row * 32, (b"tEXt", text)))
    out = largest(picture(tmp_path / "photo.png", tmp_path / "cache"), tmp_path / "cache")
    assert near(colour_at(out, 0.5, 0.5), (10, 200, 30))


@pytest.mark.parametrize("kind", ["WEBP", "PNG", "TIFF", "AVIF", "MPO"])
def test_of_several_frames_the_first_is_shown(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "photo"
    corners().save(file, kind, save_all=True, append_images=[Image.new("RGB", (96, 64), "black")], quality=95)
    assert shows_corners(largest(picture(file, tmp_path / "cache"), tmp_path / "cache"))


def test_a_large_photograph_on_its_side_is_decoded_small_and_comes_out_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    corners(6401, 403).transpose(Image.Transpose.ROTATE_90).save(tmp_path / "photo.jpg", quality=95, exif=exif)
    found = picture(tmp_path / "photo.jpg", tmp_path / "cache")
    assert (found.width, found.height) == (6401, 403)
    assert [(variant.width, variant.height) for variant in found.variants] == [(480, 30), (960, 60), (1600, 101)]
    assert shows_corners(largest(found, tmp_path / "cache"))


def test_every_width_is_close_to_a_careful_reduction(tmp_path: Path) -> None:
    photo = Image.merge("RGB", [Image.radial_gradient("L").resize((2400, 1800)), *[ramp().resize((2400, 1800))] * 2])
    photo.paste(BLUE, (300, 300, 1100, 900))
    photo.paste(YELLOW, (1000, 700, 1900, 1500))
    photo.save(tmp_path / "photo.png")
    cache = tmp_path / "cache"
    found = picture(tmp_path / "photo.png", cache)
    for variant in found.variants:
        careful = photo.resize((variant.width, variant.height), Image.Resampling.LANCZOS)
        for name in (variant.avif, variant.jpeg):
            with Image.open(cache / name) as image:
                assert image.size == (variant.width, variant.height)
                assert difference(image, careful) < 2.0


def test_the_tint_is_the_mean_colour(tmp_path: Path) -> None:
    half = Image.new("RGB", (600, 400), (200, 100, 40))
    half.paste((100, 0, 20), (0, 0, 300, 400))
    half.save(tmp_path / "photo.png")
    assert picture(tmp_path / "photo.png", tmp_path / "cache").tint == "#96321e"


@pytest.mark.parametrize("size", [(1, 1), (1, 700), (700, 1), (3, 2)])
def test_the_smallest_pictures_are_pictures(tmp_path: Path, size: tuple[int, int]) -> None:
    Image.new("RGB", size, RED).save(tmp_path / "photo.png")
    found = picture(tmp_path / "photo.png", tmp_path / "cache")
    assert (found.width, found.height) == size
