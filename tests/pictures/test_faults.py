"""A photograph that cannot be used is a fault with a sentence, never a crash and never a picture."""

from __future__ import annotations

import struct
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journalgen.pictures import look_at
from journalgen.pictures.deriving import derive
from journalgen.pictures.model import Refused
from tests.pictures.samples import WRITABLE, answer, corners, fault, noise, png


def encoded(kind: str, size: tuple[int, int] = (96, 64)) -> bytes:
    out = BytesIO()
    noise(*size).save(out, kind, quality=90)
    return out.getvalue()


def resized_header(data: bytes, width: int, height: int) -> bytes:
    """The JPEG with another size written into its frame header."""
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4 :]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff\xd8\xff",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
        b"<!doctype html><title>x</title>",
        b"%PDF-1.7\n",
        b"GIF89a" + bytes(40),
        b"\x89PNG\r\n\x1a\n",
        b"RIFF\x04\0\0\0WEBP",
        b"II*\0\x08\0\0\0",
        b"\0\0\0\x18ftypheic" + bytes(12),
        b"\0\0\0\x18ftypavif" + bytes(12),
        b"\0" * 1000,
    ],
)
def test_what_is_no_picture_is_broken_whatever_its_name(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "photo.jpg").write_bytes(data)
    assert fault(tmp_path / "photo.jpg", tmp_path / "cache").kind == "broken"
    seen = look_at(tmp_path / "photo.jpg")
    assert seen is not None
    assert seen.kind == "broken"


@pytest.mark.parametrize("kind", ["GIF", "BMP", "JPEG2000", "PPM", "TGA"])
def test_other_picture_formats_are_turned_away(tmp_path: Path, kind: str) -> None:
    corners().save(tmp_path / "photo.jpg", kind)
    found = fault(tmp_path / "photo.jpg", tmp_path / "cache")
    assert found.kind == "broken"
    assert "JPEG, PNG, WebP, AVIF, TIFF or HEIC" in found.message


@pytest.mark.parametrize("kind", WRITABLE)
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_photograph_cut_short_is_broken(tmp_path: Path, kind: str, share: float) -> None:
    data = encoded(kind)
    (tmp_path / "photo").write_bytes(data[: int(len(data) * share)])
    assert fault(tmp_path / "photo", tmp_path / "cache").kind == "broken"


@pytest.mark.parametrize(
    "data",
    [
        png(100, 100, 8, 2, (b"\0" + bytes(30)) * 10),
        png(0, 10, 8, 2, b""),
        png(10, 10, 7, 9, b"\0" * 400),
    ],
)
def test_a_header_that_promises_what_is_not_there_is_broken(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "photo").write_bytes(data)
    assert fault(tmp_path / "photo", tmp_path / "cache").kind == "broken"


@pytest.mark.parametrize(
    "data",
    [
        png(20_000, 20_000, 8, 2, b""),
        png(11_000, 11_000, 1, 0, b""),
        png(65_501, 1, 8, 0, b"\0" + bytes(65_501)),
        resized_header(encoded("JPEG"), 12_000, 12_000),
        resized_header(encoded("JPEG"), 60_000, 60_000),
    ],
)
def test_a_bomb_is_refused_by_its_header(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "photo").write_bytes(data)
    assert fault(tmp_path / "photo", tmp_path / "cache").kind == "too-large"
    seen = look_at(tmp_path / "photo")
    assert seen is not None
    assert seen.kind == "too-large"


def test_what_is_not_a_file_is_absent(tmp_path: Path) -> None:
    for name in ("nothing.jpg", "nothing.jpg/photo.jpg", "null\0byte.jpg", "."):
        assert fault(tmp_path / name, tmp_path / "cache").kind == "absent"
        seen = look_at(tmp_path / name)
        assert seen is not None
        assert seen.kind == "absent"


def test_what_the_system_will_not_open_is_unreadable(tmp_path: Path) -> None:
    (tmp_path / "round.jpg").symlink_to(tmp_path / "round.jpg")
    for name in ("round.jpg", "x" * 300 + ".jpg"):
        assert fault(tmp_path / name, tmp_path / "cache").kind == "unreadable"


def test_a_file_larger_than_any_picture_is_not_read(tmp_path: Path) -> None:
    with (tmp_path / "photo.tif").open("wb") as stream:
        stream.truncate(1_600_000_000)
    assert fault(tmp_path / "photo.tif", tmp_path / "cache").kind == "too-large"


@pytest.mark.parametrize("kind", WRITABLE)
def test_a_first_look_finds_nothing_wrong_with_a_sound_photograph(tmp_path: Path, kind: str) -> None:
    corners().save(tmp_path / "photo", kind)
    assert look_at(tmp_path / "photo") is None


def test_a_fault_goes_when_the_file_is_mended(tmp_path: Path) -> None:
    file, cache = tmp_path / "photo.jpg", tmp_path / "cache"
    file.write_bytes(b"rubbish")
    assert fault(file, cache).kind == "broken"
    corners().save(file)
    assert type(answer(file, cache)).__name__ == "Picture"


SOUND = {kind: encoded(kind, (24, 16)) for kind in (*WRITABLE, "MPO")}


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(sorted(SOUND)),
    st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), max_size=6),
)
def test_damage_anywhere_ends_in_a_picture_or_a_refusal(kind: str, damage: list[tuple[float, int]]) -> None:
    data = bytearray(SOUND[kind])
    for where, value in damage:
        data[int(where * len(data))] = value
    assert outcome(bytes(data)) in (("picture",) if not damage else ("picture", "broken", "too-large"))


def outcome(data: bytes) -> str:
    try:
        derive(data, ())
    except Refused as refused:
        return refused.fault.kind
    return "picture"
