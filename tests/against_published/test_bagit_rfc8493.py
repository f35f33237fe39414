"""Bags against RFC 8493, The BagIt File Packaging Format (V1.0), October 2018: its examples, and its rules by section.

Source: https://www.rfc-editor.org/rfc/rfc8493
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.outside.bag.checking import check_bag
from journalgen.outside.bag.manifests import manifest_name, parse_manifest, spell_manifest
from journalgen.outside.bag.paths import collisions, decode_path, encode_path, fault_elsewhere, is_unsafe
from journalgen.outside.bag.tag_files import (
    parse_declaration,
    parse_fetch_line,
    parse_info,
    spell_declaration,
    spell_info,
    split_lines,
)
from tests.outside.bags import contents, findings, preserve, small_journal, write_bag

EXAMPLE_INFO = """\
Source-Organization: FOO University
Organization-Address: 1 Main St., Cupertino, California, 11111
Contact-Name: Jane Doe
Contact-Phone: +1 111-111-1111
Contact-Email: example@example.com
External-Description: Uncompressed greyscale TIFF images from the
      FOO papers colle...
Bagging-Date: 2008-01-15
External-Identifier: university_foo_001
Payload-Oxum: 279164409832.1198
Bag-Group-Identifier: university_foo
Bag-Count: 1 of 15
Internal-Sender-Identifier: /storage/images/foo
Internal-Sender-Description: Uncompressed greyscale TIFFs created
      from microfilm and are...
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bag of ours."""
    home = tmp_path_factory.mktemp("bag")
    assert preserve(small_journal(home / "trolley"), "--to", home / "kept").exit_code == 0
    return home / "kept"


def test_2_1_1_a_declaration_of_two_lines_in_utf_8(made: Path) -> None:
    assert (made / "bagit.txt").read_bytes() == spell_declaration()
    declared, faults = parse_declaration(spell_declaration())
    assert (declared.version, declared.encoding, faults) == ((1, 0), "UTF-8", [])


def test_2_1_3_a_manifest_lists_every_payload_file_once_with_slashes_and_nothing_else(made: Path) -> None:
    payload = {name for name in contents(made) if name.startswith("data/")}
    for algorithm in ("sha256", "sha512"):
        lines = (made / f"manifest-{algorithm}.txt").read_text(encoding="utf-8").splitlines()
        rows = [re.fullmatch(r"([0-9a-f]+)[ \t]+(.+)", line) for line in lines]
        assert all(rows)
        assert len(lines) == len(payload)
        assert {decode_path(row[2]) for row in rows if row} == payload
        for row in rows:
            assert row
            assert row[1] == hashlib.new(algorithm, (made / row[2]).read_bytes()).hexdigest()


def test_2_1_3_and_4_1_the_example_of_a_manifest() -> None:
    text = (
        "49afbd86a1ca9f34b677a3f09655eae9 data/27613-h/images/q172.png\n"
        "408ad21d50cef31da4df6d9ed81b01a7 data/27613-h/images/q172.txt\n"
    )
    read = parse_manifest("manifest-md5.txt", text, ())
    assert (read.findings, read.quirks, read.algorithm) == ([], set(), "md5")
    assert read.rows == {
        "data/27613-h/images/q172.png": "49afbd86a1ca9f34b677a3f09655eae9",
        "data/27613-h/images/q172.txt": "408ad21d50cef31da4df6d9ed81b01a7",
    }


def test_4_1_a_bag_laid_out_as_in_the_example(tmp_path: Path) -> None:
    """Its declaration writes the label as `BagIt-version`."""
    payload = {"27613-h/images/q172.png": b"image", "27613-h/images/q172.txt": b"text"}
    bag = write_bag(tmp_path / "myfirstbag", payload, algorithms=["md5"])
    (bag / "bagit.txt").write_text("BagIt-version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
    assert findings(bag) == {}


def test_4_2_a_bag_laid_out_as_in_the_example_is_not_complete_before_it_was_fetched(tmp_path: Path) -> None:
    bag = write_bag(
        tmp_path / "highsmith-tahoe", {}, algorithms=["md5"], listed={"data/23364a.tif": b"image"},
        tags={
            "fetch.txt": b"https://cdn.loc.gov/master/pnp/highsm/23300/23364a.tif 216951362 data/23364a.tif\n",
            "bag-info.txt": b"Internal-Sender-Description: Download link found at\n"
                            b"  https://www.loc.gov/resource/highsm.23364/\n",
        },
    )  # fmt: skip
    (finding,) = check_bag(bag).findings
    assert (finding.path, finding.kind) == ("data/23364a.tif", "not-fetched")
    assert "https://cdn.loc.gov/master/pnp/highsm/23300/23364a.tif" in finding.message
    assert check_bag(bag).info == (
        ("Internal-Sender-Description", "Download link found at https://www.loc.gov/resource/highsm.23364/"),
    )


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1))
def test_2_1_3_line_feeds_carriage_returns_and_per_cent_signs_are_encoded_and_nothing_else(name: str) -> None:
    spelt = encode_path(name)
    assert not {"\n", "\r"} & set(spelt)
    assert decode_path(spelt) == name
    assert len(spelt) - len(name) == 2 * sum(name.count(sign) for sign in "\r\n%")


@given(
    st.dictionaries(
        st.text(st.characters(exclude_categories=["Cs"]), min_size=1).map(lambda name: f"data/x{name}"),
        st.binary(min_size=32, max_size=32).map(bytes.hex),
    )
)
def test_2_1_3_what_is_written_is_read_back(rows: dict[str, str]) -> None:
    read = parse_manifest("manifest-sha256.txt", spell_manifest(rows).decode(), rows.keys())
    assert (read.rows, read.findings) == (rows, [])


def test_2_2_1_tag_manifests_list_the_manifests_and_the_other_tag_files_and_no_tag_manifest(made: Path) -> None:
    tags = {name for name in contents(made) if not name.startswith(("data/", "tagmanifest-"))}
    assert {"manifest-sha256.txt", "manifest-sha512.txt", "bagit.txt", "bag-info.txt"} < tags
    for algorithm in ("sha256", "sha512"):
        lines = (made / f"tagmanifest-{algorithm}.txt").read_text().splitlines()
        assert {line.partition("  ")[2] for line in lines} == tags


def test_2_2_2_the_example_of_bag_info() -> None:
    elements, faulty = parse_info(EXAMPLE_INFO)
    assert faulty == []
    assert [label for label, _ in elements] == re.findall(r"(?m)^([\w-]+):", EXAMPLE_INFO)
    told = dict(elements)
    assert told["External-Description"] == "Uncompressed greyscale TIFF images from the FOO papers colle..."
    assert told["Contact-Phone"] == "+1 111-111-1111"
    assert parse_info(spell_info(elements).decode()) == (elements, [])


WORDS = st.lists(st.text(st.characters(categories=["L", "N", "P"]), min_size=1), min_size=1).map(" ".join)


@given(st.lists(st.tuples(st.from_regex(r"[A-Z][a-z]+(-[A-Z][a-z]+)*", fullmatch=True), WORDS)))
def test_2_2_2_any_value_comes_back_and_order_and_repetition_are_kept(elements: list[tuple[str, str]]) -> None:
    assert parse_info(spell_info(elements).decode()) == (tuple(elements), [])


def test_2_2_2_the_oxum_of_ours_is_bytes_and_files(made: Path) -> None:
    payload = [data for name, data in contents(made).items() if name.startswith("data/")]
    text = (made / "bag-info.txt").read_text(encoding="utf-8")
    assert f"\nPayload-Oxum: {sum(map(len, payload))}.{len(payload)}\n" in text
    assert re.search(r"(?m)^Bagging-Date: \d{4}-\d\d-\d\d$", text)
    assert re.search(r"(?m)^Bag-Count: 1 of \?$", text)


def test_2_2_3_the_example_of_a_line_to_be_fetched() -> None:
    line = "https://cdn.loc.gov/master/pnp/highsm/23300/23364a.tif 216951362 data/23364a.tif"
    assert parse_fetch_line(line) == (line.split()[0], "data/23364a.tif")
    assert parse_fetch_line("http://example.org/x\t-  data/a b.txt") == ("http://example.org/x", "data/a b.txt")


def test_2_3_lines_end_with_lf_cr_or_crlf_and_the_last_need_not() -> None:
    assert split_lines("a\nb\rc\r\nd\x0be\x85f\u2028g") == ["a", "b", "c", "d\x0be\x85f\u2028g"]
    assert split_lines("") == []


@pytest.mark.parametrize(
    ("file", "found"),
    [
        ("manifest-md5.txt", (False, "md5")), ("manifest-sha1.txt", (False, "sha1")),
        ("manifest-sha256.txt", (False, "sha256")), ("tagmanifest-sha512.txt", (True, "sha512")),
        ("manifest-sha-512.txt", None), ("manifest.txt", None), ("data/manifest-md5.txt", None),
    ],
)  # fmt: skip
def test_2_4_the_names_of_algorithms(file: str, found: tuple[bool, str] | None) -> None:
    assert manifest_name(file) == found


@pytest.mark.parametrize("path", ["/etc/passwd", "../x", "~user/x", "\\\\?\\C:\\x", "C:\\x", "data/../../x"])
def test_5_1_special_directory_characters(path: str) -> None:
    assert is_unsafe(path)


def test_6_1_1_names_that_differ_in_case_or_in_normalization_form() -> None:
    composed, decomposed = "N\u00fa\u00f1ez", "Nu\u0301n\u0303ez"  # the RFC's own example
    assert collisions([composed, decomposed]) == [tuple(sorted((composed, decomposed)))]
    assert collisions(["example.txt", "Example.txt", "other"]) == [("Example.txt", "example.txt")]


@pytest.mark.parametrize("name", [*'<>:"|?*', "CON", "PRN", "AUX", "NUL", *(f"COM{n}" for n in range(1, 10)),
                                  *(f"LPT{n}.txt" for n in range(1, 10))])  # fmt: skip
def test_6_1_2_what_windows_does_not_take(name: str) -> None:
    assert fault_elsewhere(f"photos/{name}")
    assert fault_elsewhere("photos/CONE.txt") is None


def test_6_1_3_the_asterisk_of_checksum_tools_is_accepted_and_the_user_is_warned() -> None:
    read = parse_manifest("manifest-md5.txt", f"{'0' * 32} *data/a\n", {"data/a"})
    assert list(read.rows) == ["data/a"]
    assert read.quirks
