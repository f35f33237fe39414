"""Nothing that an original says about itself reaches a derived picture."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from tests.pictures.samples import WRITABLE, corners, noise, picture, swapped_profile

MARKS = ("mark-of-exif", "mark-of-xmp", "mark-of-icc", "mark-of-comment", "mark-of-tail", "mark-of-name")
XMP = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>mark-of-xmp</x:xmpmeta>"


def marked_exif() -> bytes:
    exif = Image.Exif()
    exif[0x010E] = "mark-of-exif"  # description
    exif[0x9286] = b"ASCII\0\0\0mark-of-exif"  # user comment
    exif.get_ifd(0x8825).update({1: "N", 2: (53.0, 21.0, 7.0), 3: "W", 4: (1.0, 2.0, 3.0), 29: "mark-of-exif"})
    return exif.tobytes()


def save_marked(image: Image.Image, file: Path, kind: str) -> None:
    more: dict[str, object] = {"exif": marked_exif(), "icc_profile": swapped_profile("mark-of-icc"), "quality": 95}
    if kind in ("JPEG", "WEBP", "AVIF", "HEIF"):
        more["xmp"] = XMP
    if kind == "JPEG":
        more["comment"] = "mark-of-comment"
    if kind == "PNG":
        more["pnginfo"] = info = PngInfo()
        info.add_text("Comment", "mark-of-comment")
        info.add_itxt("XML:com.adobe.xmp", XMP.decode())
    if kind == "TIFF":
        more["tiffinfo"] = {270: "mark-of-comment", 700: XMP}
        del more["exif"]
    image.save(file, kind, **more)
    if kind in ("JPEG", "PNG"):
        file.write_bytes(file.read_bytes() + b"mark-of-tail")


@pytest.mark.parametrize("size", [(96, 64), (700, 300)])
@pytest.mark.parametrize("kind", WRITABLE)
def test_no_mark_put_into_an_original_is_found_in_its_pictures(
    tmp_path: Path, kind: str, size: tuple[int, int]
) -> None:
    file = tmp_path / "mark-of-name.jpg"
    save_marked(corners(*size), file, kind)
    data = file.read_bytes()
    planted = [mark for mark in MARKS[:-1] if mark.encode() in data]
    assert len(planted) >= (1 if kind == "PNG" else 2)  # a PNG packs its profile
    cache = tmp_path / "cache"
    found = picture(file, cache)
    for variant in found.variants:
        for name in (variant.avif, variant.jpeg):
            assert "mark" not in name
            derived = (cache / name).read_bytes()
            assert not [mark for mark in MARKS if mark.encode() in derived]
            assert not [box for box in (b"Exif", b"xmpmeta", b"ICC_PROFILE", b"acsp", b"GPS") if box in derived]
            with Image.open(cache / name) as image:
                assert not image.getexif()
                assert not {"exif", "xmp", "icc_profile", "comment", "photoshop"} & set(image.info)
    record = next(cache.glob("*.json")).read_bytes()
    assert b"mark" not in record


def test_a_thumbnail_inside_an_original_is_left_behind(tmp_path: Path) -> None:
    noise(160, 120, seed=3).save(tmp_path / "thumbnail.jpg")
    thumbnail = (tmp_path / "thumbnail.jpg").read_bytes()
    exif = Image.Exif()
    exif[0x010E] = "an ordinary photograph"
    block = exif.tobytes() + thumbnail
    corners().save(tmp_path / "photo.jpg", exif=block)
    assert thumbnail[200:260] in (tmp_path / "photo.jpg").read_bytes()
    found = picture(tmp_path / "photo.jpg", tmp_path / "cache")
    for name in (found.variants[0].jpeg, found.variants[0].avif):
        derived = (tmp_path / "cache" / name).read_bytes()
        assert thumbnail[200:260] not in derived
        assert derived.count(b"\xff\xd8\xff") <= 1


def test_originals_are_the_same_before_and_after(tmp_path: Path) -> None:
    photos = tmp_path / "photos"
    photos.mkdir()
    for kind in WRITABLE:
        save_marked(corners(), photos / f"photo.{kind.lower()}", kind)
    (photos / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0 nothing")
    before = {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in photos.iterdir()}
    for path in list(photos.iterdir()):
        if path.name != "broken.jpg":
            picture(path, tmp_path / "cache")
    assert {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in photos.iterdir()} == before
