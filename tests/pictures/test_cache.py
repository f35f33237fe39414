"""Nothing is made twice, and what was damaged is made again."""

from __future__ import annotations

import hashlib
import os
import re
import time
from pathlib import Path

import pytest
from PIL import Image

from journalgen.pictures import Picture, PicturesInterrupted, Request, prepare
from journalgen.whole import write_whole
from tests.pictures.samples import answer, corners, noise, picture, rectangle


def stamps(cache: Path) -> dict[str, tuple[int, int]]:
    return {
        path.name: (path.stat().st_ino, path.stat().st_mtime_ns) for path in cache.iterdir() if path.name != "index.txt"
    }


def settle(file: Path) -> None:
    """Dates a file back, as if it had been there for a while."""
    os.utime(file, (1_700_000_000, 1_700_000_000))


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    file = tmp_path / "secret place.jpg"
    corners(1200, 400).save(file)
    settle(file)
    return file


def test_names_are_the_digest_the_width_and_nothing_else(tmp_path: Path, photo: Path) -> None:
    found = picture(photo, tmp_path / "cache")
    assert [variant.width for variant in found.variants] == [480, 960, 1200]
    keys = set()
    for variant in found.variants:
        for name, ending in ((variant.avif, "avif"), (variant.jpeg, "jpg")):
            match = re.fullmatch(rf"([0-9a-f]{{16}})-{variant.width}\.{ending}", name)
            assert match
            keys.add(match[1])
            assert (tmp_path / "cache" / name).is_file()
    assert len(keys) == 1


def test_a_second_run_makes_nothing(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    before = stamps(cache)
    assert picture(photo, cache) == first
    assert stamps(cache) == before


def test_a_second_run_opens_no_original(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    length = photo.stat().st_size
    photo.write_bytes(bytes(length))
    settle(photo)
    assert picture(photo, cache) == first


def test_a_file_that_changed_just_now_is_looked_into_again(tmp_path: Path) -> None:
    file, cache = tmp_path / "photo.png", tmp_path / "cache"
    for colour in ((10, 20, 30), (30, 20, 10)):
        Image.new("RGB", (8, 8), colour).save(file)
        moment = time.time_ns() // 10**9 * 10**9
        os.utime(file, ns=(moment, moment))
        assert picture(file, cache).tint == "#{:02x}{:02x}{:02x}".format(*colour)


def test_changed_content_and_changed_hiding_have_other_names(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    whole = picture(photo, cache)
    hidden = picture(photo, cache, rectangle(0, 0, 10, 10))
    as_shares = picture(photo, cache, rectangle(0, 0, 10, 10, per_cent=True))
    noise(1200, 400).save(photo)
    other = picture(photo, cache)
    assert len({found.variants[0].avif for found in (whole, hidden, as_shares, other)}) == 4


def test_one_region_written_twice_or_in_another_order_is_the_same_request(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    one, two = rectangle(0, 0, 10, 10), rectangle(50, 50, 10, 10)
    assert picture(photo, cache, one, two) == picture(photo, cache, two, one, rectangle("0.0", "0", "10.00", "10"))


def test_copies_are_made_once(tmp_path: Path, photo: Path) -> None:
    copy = tmp_path / "copy.png"
    copy.write_bytes(photo.read_bytes())
    cache, seen = tmp_path / "cache", []
    answers = prepare(
        [Request(str(photo)), Request(str(copy)), Request(str(photo))], cache, progress=lambda *done: seen.append(done)
    ).answers
    assert answers[Request(str(photo))] == answers[Request(str(copy))]
    assert len(list(cache.glob("*.avif"))) == 3
    assert seen == [(1, 2), (2, 2)]


@pytest.mark.parametrize("damage", ["gone", "cut", "empty"])
@pytest.mark.parametrize("ending", ["-480.avif", "-1200.jpg"])
def test_a_derived_file_that_is_gone_or_cut_is_made_again(
    tmp_path: Path, photo: Path, damage: str, ending: str
) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    victim = next(cache.glob(f"*{ending}"))
    sound = victim.read_bytes()
    if damage == "gone":
        victim.unlink()
    else:
        victim.write_bytes(sound[:-1] if damage == "cut" else b"")
    assert picture(photo, cache) == first
    assert victim.read_bytes() == sound


def published(cache: Path, name: str, site: Path) -> Path:
    """The file as a site has it: the same one, under another name."""
    os.link(cache / name, site)
    return site


@pytest.mark.parametrize("kind", ["avif", "jpeg"])
@pytest.mark.parametrize("with_index", [True, False])
def test_a_published_file_that_was_edited_in_place_is_made_again(
    tmp_path: Path, photo: Path, kind: str, with_index: bool
) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    name = getattr(first.variants[0], kind)
    sound = (cache / name).read_bytes()
    edited = bytes([*sound[:-1], sound[-1] ^ 1])
    with published(cache, name, tmp_path / "site").open("r+b") as stream:
        stream.write(edited)
    os.utime(cache / name, (1_800_000_000, 1_800_000_000))
    if not with_index:
        (cache / "index.txt").unlink()
    assert picture(photo, cache) == first
    assert (cache / name).read_bytes() == sound
    assert (tmp_path / "site").read_bytes() == edited  # another file by now, and not the program's to mend


def test_a_cache_that_was_copied_is_looked_through_once_and_then_trusted(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    for file in cache.glob("*.*g"):
        settle(file)
    before = stamps(cache)
    assert picture(photo, cache) == first
    for record in cache.glob("*.json"):
        record.unlink()  # without it no digest can be compared
    assert picture(photo, cache) == first
    assert stamps(cache) == {name: stamp for name, stamp in before.items() if not name.endswith(".json")}


def test_a_file_changed_without_a_record_to_hold_it_against_is_made_again(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    victim = cache / first.variants[0].jpeg
    settle(victim)
    next(cache.glob("*.json")).unlink()
    before = victim.stat().st_ino
    assert picture(photo, cache) == first
    assert victim.stat().st_ino != before
    assert list(cache.glob("*.json"))


@pytest.mark.parametrize(
    "rubbish",
    [
        b"", b"{", b"[]", b"null", b"\xff\xfe", b"[" * 100_000, b"5", b'{"x": 1}', b"\n\n\t\n",
        b"[1, 2, 3, [[1, 2, 3]]]", b'[1, 2, "#000000", []]', b'["a", 2, "#000000", [[1, 2, 3, 4]]]',
        b'[1e999, 2, "#000000", [[1, 2, 3, 4]]]', b'[1, 2, "#000000", [[1, 2, 3, 4]]]',
        b'[1, 2, "#000000", [[1, 2, [3], [4, 5, 6]]]]', b'[1, 2, "#000000", [[1, 2, [1e999, 1], [1, 1]]]]',
    ],
)  # fmt: skip
@pytest.mark.parametrize("where", ["record", "index", "row of an original", "row of a picture"])
def test_rubbish_in_the_cache_costs_time_and_nothing_else(
    tmp_path: Path, photo: Path, where: str, rubbish: bytes
) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    index = cache / "index.txt"
    sound = index.read_bytes()
    if where == "record":
        index.unlink()
        next(cache.glob("*.json")).write_bytes(rubbish)
    elif where == "index":
        index.write_bytes(rubbish)
    else:
        lines = sound.split(b"\n")
        place = 1 if where == "row of an original" else 2
        lines[place] = lines[place].partition(b"\t")[0] + b"\t" + rubbish
        index.write_bytes(b"\n".join(lines))
    assert picture(photo, cache) == first
    for file in (cache / name for variant in first.variants for name in (variant.avif, variant.jpeg)):
        with Image.open(file) as image:
            image.load()
    assert index.read_bytes().count(first.variants[0].avif[:16].encode()) == 1


def test_an_index_that_speaks_of_another_content_is_set_right(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    first = picture(photo, cache)
    index = cache / "index.txt"
    sound = index.read_text()
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert digest in sound
    index.write_text(sound.replace(digest, "0" * 64))
    assert picture(photo, cache) == first
    assert picture(photo, cache) == first
    assert digest in index.read_text()


def test_any_name_of_a_photograph_can_be_remembered(tmp_path: Path, photo: Path) -> None:
    odd = tmp_path / 'a "name"\twith\na line\\é.jpg'
    photo.rename(odd)
    first = picture(odd, tmp_path / "cache")
    odd.write_bytes(bytes(odd.stat().st_size))
    settle(odd)
    assert picture(odd, tmp_path / "cache") == first


def test_a_deleted_cache_comes_back_the_same(tmp_path: Path, photo: Path) -> None:
    first = picture(photo, tmp_path / "one" / "deep")
    assert picture(photo, tmp_path / "two") == first
    for file in (tmp_path / "two").glob("*.*g"):
        assert file.read_bytes() == (tmp_path / "one" / "deep" / file.name).read_bytes()


def test_a_cache_that_cannot_be_written_ends_the_work_with_a_sentence(tmp_path: Path, photo: Path) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be")
    with pytest.raises(PicturesInterrupted, match=r"cannot be written into .*cache"):
        answer(photo, tmp_path / "cache")


def test_no_unfinished_file_is_left_and_old_ones_are_swept_up(tmp_path: Path, photo: Path) -> None:
    cache = tmp_path / "cache"
    cache.mkdir()
    old, fresh = cache / ".0.jpg.1.part", cache / ".1.jpg.1.part"
    for file in (old, fresh):
        file.write_bytes(b"half")
    settle(old)
    picture(photo, cache)
    assert list(cache.glob(".*")) == [fresh]


def test_a_write_that_fails_leaves_what_was_there(tmp_path: Path) -> None:
    place = tmp_path / "folder"
    place.mkdir()
    (place / "full").write_bytes(b"x")
    with pytest.raises(OSError, match="folder"):
        write_whole(place, b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_requests_for_nothing_are_answered_with_nothing(tmp_path: Path) -> None:
    assert prepare([], tmp_path / "cache").answers == {}
    assert not (tmp_path / "cache").exists()


def test_a_missing_photograph_does_not_keep_the_others_from_being_made(tmp_path: Path, photo: Path) -> None:
    answers = prepare([Request(str(tmp_path / "none.jpg")), Request(str(photo))], tmp_path / "cache").answers
    assert [type(found) is Picture for found in answers.values()] == [False, True]
