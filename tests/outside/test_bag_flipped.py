"""Whatever changes in a bag is found: any bit of any file, any file taken away or put in, in a folder and in a zip."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from journalgen.outside.bag.checking import check_bag
from tests.outside.bags import contents, preserve, small_journal, zipped

EVERYWHERE = st.floats(0, 1, exclude_max=True)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with `bag` and `bag.zip`; whoever changes them puts them right again."""
    home = tmp_path_factory.mktemp("flipped")
    journal = small_journal(home / "trolley")
    for to in ("kept/bag", "kept/bag.zip"):
        assert preserve(journal, "--to", home / to).exit_code == 0
    return home / "kept"


@contextmanager
def flipped(file: Path, byte: int, bit: int) -> Iterator[None]:
    whole = file.read_bytes()
    changed = bytearray(whole)
    changed[byte] ^= 1 << bit
    try:
        file.write_bytes(changed)
        yield
    finally:
        file.write_bytes(whole)


def is_whole(bag: Path) -> bool:
    return not check_bag(bag).findings


def describing(bag: Path) -> list[Path]:
    return sorted(path for path in bag.iterdir() if path.is_file())


@settings(max_examples=100)
@given(which=EVERYWHERE, where=EVERYWHERE, bit=st.integers(0, 7))
def test_any_bit_of_any_file(made: Path, which: float, where: float, bit: int) -> None:
    files = sorted(path for path in (made / "bag").rglob("*") if path.is_file() and path.stat().st_size)
    file = files[int(which * len(files))]
    with flipped(file, int(where * file.stat().st_size), bit):
        assert not is_whole(made / "bag"), file
    assert is_whole(made / "bag")


@settings(max_examples=150)
@given(which=EVERYWHERE, where=EVERYWHERE, bit=st.integers(0, 7))
def test_any_bit_of_what_describes_the_bag(made: Path, which: float, where: float, bit: int) -> None:
    files = describing(made / "bag")
    file = files[int(which * len(files))]
    with flipped(file, int(where * file.stat().st_size), bit):
        assert not is_whole(made / "bag"), file


def test_a_digest_in_the_other_case_where_no_manifest_would_tell(made: Path) -> None:
    """The one thing that one bit can do to a tag manifest, and that changes nothing of what it lists."""
    bag = made / "bag"
    for file in bag.glob("tagmanifest-*.txt"):
        for byte in range(0, file.stat().st_size, 5):
            with flipped(file, byte, 5):
                assert not is_whole_but_for_payload(bag), (file, byte)


def test_a_line_that_one_bit_turns_into_a_remark(made: Path) -> None:
    """`c` and `#` are one bit apart, and a line that begins with the second lists nothing."""
    bag = made / "bag"
    for file in bag.glob("tagmanifest-*.txt"):
        whole = file.read_bytes()
        file.write_bytes(b"#" + whole[1:])
        assert file.name in {finding.path for finding in check_bag(bag, payload=False).findings}
        file.write_bytes(whole)


def is_whole_but_for_payload(bag: Path) -> bool:
    return not check_bag(bag, payload=False).findings


@settings(max_examples=150)
@given(where=EVERYWHERE, bit=st.integers(0, 7))
@example(where=0.0, bit=0)
def test_any_bit_of_a_zip(made: Path, where: float, bit: int) -> None:
    file = made / "bag.zip"
    with flipped(file, int(where * file.stat().st_size), bit):
        assert not is_whole(file)


def test_every_byte_of_the_end_of_a_zip(made: Path) -> None:
    file = made / "bag.zip"
    length = file.stat().st_size
    for byte in range(length - 200, length):
        with flipped(file, byte, byte % 8):
            assert not is_whole(file), length - byte
    assert is_whole(file)


def test_a_zip_that_another_program_made_of_the_bag_is_whole_too(made: Path) -> None:
    again = zipped(made / "bag", made / "again.zip")
    verdict = check_bag(again)
    again.unlink()
    assert (verdict.findings, verdict.notes) == ([], [])


def test_a_bag_that_the_library_wrote_to_again_is_whole_too(made: Path) -> None:
    """An archive adds to bag-info.txt, and a manifest."""
    bagit = pytest.importorskip("bagit", reason="bagit is not installed")
    shutil.copytree(made / "bag", made / "theirs")
    theirs = bagit.Bag(str(made / "theirs"))
    theirs.info["Contact-Name"] = "Someone"
    theirs.algorithms.append("md5")
    theirs.save(manifests=True)
    verdict = check_bag(made / "theirs")
    shutil.rmtree(made / "theirs")
    assert (verdict.findings, verdict.notes) == ([], [])
    assert verdict.algorithms == ("md5", "sha256", "sha512")


@pytest.mark.parametrize("cut", [1, 10, 22, 200, 5000, 100_000])
def test_a_zip_that_ends_too_early(made: Path, cut: int) -> None:
    whole = (made / "bag.zip").read_bytes()
    short = made / "short.zip"
    short.write_bytes(whole[:-cut])
    assert not is_whole(short)
    short.write_bytes(whole + b"\0" * cut)
    assert not is_whole(short)
    short.unlink()


def test_any_file_taken_away_is_named(made: Path) -> None:
    bag = made / "bag"
    for name, data in contents(bag).items():
        (bag / name).unlink()
        found = {finding.path for finding in check_bag(bag).findings}
        (bag / name).write_bytes(data)
        assert name in found


@pytest.mark.parametrize(
    "name",
    ["data/new", "data/journal/photos/.DS_Store", "new.txt", "tags/new.txt", "fetch.txt", "manifest-md5.txt",
     "tagmanifest-md5.txt", "data/journal/photos/wheel.jpg~"],
)  # fmt: skip
@pytest.mark.parametrize("data", [b"", b"x"])
def test_any_file_put_in_is_named(made: Path, name: str, data: bytes) -> None:
    path = made / "bag" / name
    is_new = not path.parent.exists()
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(data)
    try:
        assert name in {finding.path for finding in check_bag(made / "bag").findings}
    finally:
        path.unlink()
        if is_new:
            path.parent.rmdir()


@settings(max_examples=40)
@given(which=EVERYWHERE, other=EVERYWHERE)
def test_files_that_changed_places_are_named(made: Path, which: float, other: float) -> None:
    files = sorted(path for path in (made / "bag").rglob("*") if path.is_file())
    one, two = files[int(which * len(files))], files[int(other * len(files))]
    first, second = one.read_bytes(), two.read_bytes()
    one.write_bytes(second)
    two.write_bytes(first)
    whole = is_whole(made / "bag")
    one.write_bytes(first)
    two.write_bytes(second)
    assert whole == (first == second)
