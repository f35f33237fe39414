"""Bags by anyone, whole and not: what `--check` lets pass, and what it names."""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
import unicodedata
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from journalgen.outside.bag.checking import check_bag
from tests.outside.bags import check, contents, findings, write_bag, zipped

bagit = pytest.importorskip("bagit", reason="bagit is not installed")

PAYLOAD = {"a.txt": b"alpha", "deep/b c.txt": b"beta", "ü.txt": b"gamma", "empty": b""}


@pytest.fixture
def bag(tmp_path: Path) -> Path:
    return write_bag(tmp_path / "bag", PAYLOAD)


@pytest.mark.parametrize("algorithms", [["md5"], ["sha1"], ["sha256"], ["sha512"], ["md5", "sha1", "sha256", "sha512"]])
@pytest.mark.parametrize("as_zip", [False, True])
def test_bags_of_the_library_are_whole_and_damage_to_them_is_named(
    tmp_path: Path, algorithms: list[str], as_zip: bool
) -> None:
    folder = tmp_path / "made"
    for name, data in PAYLOAD.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    bagit.make_bag(str(folder), {"Contact-Name": "Someone"}, checksums=algorithms)

    def seen() -> Path:
        return zipped(folder, tmp_path / "made.zip", "made/") if as_zip else folder

    done = check(seen())
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith(f"{seen()} is whole: 4 files, 14 bytes, by {', '.join(sorted(algorithms))}")
    (folder / "data" / "a.txt").write_bytes(b"alphb")
    (folder / "data" / "ü.txt").unlink()
    (folder / "data" / "new").write_bytes(b"gamma")
    done = check(seen())
    assert done.exit_code == 1
    assert findings(seen()) == {"data/a.txt": "damaged", "data/ü.txt": "missing", "data/new": "extra"}
    assert "is not whole: 3 findings." in done.stdout


@pytest.mark.parametrize("version", ["0.93", "0.94", "0.95", "0.96", "0.97", "1.0"])
def test_every_version_of_the_standard_is_known(tmp_path: Path, version: str) -> None:
    verdict = check_bag(write_bag(tmp_path / "bag", PAYLOAD, version=version))
    assert (verdict.findings, verdict.version) == ([], tuple(map(int, version.split("."))))


@pytest.mark.parametrize(
    ("declaration", "said"),
    [
        (b"BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n", "BagIt 2.0 is not known"),
        (b"\xef\xbb\xbfBagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", "byte order mark"),
        (b"BagIt-Version: 1.0\n", "must consist of two lines"),
        (b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\nMore: 1\n", "must consist of two lines"),
        (b"BagIt-Version:  1.0\nTag-File-Character-Encoding: UTF-8\n", "one space, and no more"),
        (b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-99\n", "encoding UTF-99 is not known"),
        (b"BagIt-Version: 1.0\nTag-File-Character-Encoding: base64\n", "encoding base64 is not known"),
        (b"", "must consist of two lines"),
        (b"\xff\xfe\x00", "must consist of two lines"),
    ],
)
def test_a_declaration_that_is_none(bag: Path, declaration: bytes, said: str) -> None:
    (bag / "bagit.txt").write_bytes(declaration)
    (finding,) = check_bag(bag).findings
    assert (finding.path, finding.kind) == ("bagit.txt", "malformed")
    assert said in finding.message


def test_old_declarations_may_be_loosely_spaced(tmp_path: Path) -> None:
    bag = write_bag(tmp_path / "bag", PAYLOAD, version="0.96")
    (bag / "bagit.txt").write_bytes(b"BagIt-Version :  0.96\r\nTag-File-Character-Encoding : UTF-8\r\n\r\n")
    assert findings(bag) == {}


@pytest.mark.parametrize("encoding", ["UTF-16", "ISO-8859-1", "windows-1252"])
def test_tag_files_in_another_encoding(tmp_path: Path, encoding: str) -> None:
    bag = write_bag(tmp_path / "bag", PAYLOAD, encoding=encoding)
    assert findings(bag) == {}
    (bag / "data" / "ü.txt").write_bytes(b"other")
    assert findings(bag) == {"data/ü.txt": "damaged"}


def test_a_manifest_that_is_not_in_the_encoding_declared(tmp_path: Path) -> None:
    bag = write_bag(tmp_path / "bag", PAYLOAD, encoding="ISO-8859-1")
    (bag / "bagit.txt").write_bytes(b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
    assert findings(bag) == {"manifest-sha256.txt": "malformed"}


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="these names cannot be made there")
def test_percent_encoded_names_and_names_that_should_have_been(tmp_path: Path) -> None:
    payload = {"a\nb": b"1", "c\rd": b"2", "e\r\nf": b"3", "50%": b"4", "50%25": b"5", "%0A": b"6"}
    spelt = ["data/a%0Ab", "data/c%0dd", "data/e%0D%0af", "data/50%25", "data/50%2525", "data/%250A"]
    listed = dict(zip(spelt, payload.values(), strict=True))
    verdict = check_bag(write_bag(tmp_path / "bag", payload, listed=listed))
    assert verdict.findings == []
    assert "tag manifest" in " ".join(verdict.notes)
    assert len(verdict.notes) == 1
    old = write_bag(tmp_path / "old", {"50%": b"4", "50%25": b"5"}, version="0.97")
    assert findings(old) == {}
    loose = check_bag(write_bag(tmp_path / "loose", {"50%x": b"4", "7%25": b"5"}, version="1.0"))
    assert loose.findings == []
    assert any("percent-encoded" in note for note in loose.notes)


@pytest.mark.parametrize(
    "path",
    ["../out.txt", "data/../../out.txt", "/etc/passwd", "~/x", "~root/x", "C:\\x", "C:x", "\\\\?\\C:\\x", "data/..",
     "..\\out.txt", "%2E%2E/../x"],
)  # fmt: skip
@pytest.mark.parametrize("where", ["manifest-sha256.txt", "tagmanifest-sha256.txt", "fetch.txt"])
def test_a_path_that_leads_out_is_refused_and_not_looked_at(tmp_path: Path, bag: Path, path: str, where: str) -> None:
    (tmp_path / "out.txt").write_bytes(b"secret")
    line = f"{hashlib.sha256(b'secret').hexdigest()}  {path}\n"
    with (bag / where).open("a") as tags:
        tags.write(f"https://example.org/x - {path}\n" if where == "fetch.txt" else line)
    found = check_bag(bag).findings
    assert [f.kind for f in found if f.path == where and f.kind != "malformed"] == ["unsafe"]
    assert not any(f.kind in ("damaged", "missing") for f in found)
    assert "outside the bag, which was not looked at" in check(bag).stdout


def test_links_in_a_bag_are_not_followed(tmp_path: Path, bag: Path) -> None:
    (tmp_path / "out.txt").write_bytes(b"alpha")
    (bag / "data" / "a.txt").unlink()
    (bag / "data" / "a.txt").symlink_to(tmp_path / "out.txt")
    (bag / "more").symlink_to(tmp_path)
    found = {(finding.path, finding.kind) for finding in check_bag(bag).findings}
    assert found == {("data/a.txt", "unsafe"), ("data/a.txt", "missing"), ("more", "unsafe")}


def test_what_is_to_be_fetched_is_named_as_not_fetched(tmp_path: Path) -> None:
    listed = {f"data/{name}": data for name, data in (PAYLOAD | {"far.tif": b"far"}).items()}
    fetch = {"fetch.txt": b"https://example.org/far.tif 3 data/far.tif\n", "bag-info.txt": b"Payload-Oxum: 17.5\n"}
    bag = write_bag(tmp_path / "bag", PAYLOAD, listed=listed, tags=fetch)
    done = check(bag)
    assert done.exit_code == 1
    assert findings(bag) == {"data/far.tif": "not-fetched"}
    assert "not-fetched data/far.tif: It was not fetched yet from https://example.org/far.tif" in done.stdout
    (bag / "data" / "far.tif").write_bytes(b"far")
    assert findings(bag) == {}
    (bag / "data" / "far.tif").write_bytes(b"fat")
    assert findings(bag) == {"data/far.tif": "damaged"}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("https://example.org/a", "is not an address, a length and a path"),
        ("https://example.org/a x data/a.txt", "is not an address, a length and a path"),
        ("a.txt 5 data/a.txt", "does not begin with an absolute address"),
        ("https://example.org/a 5 bagit.txt", "names a file that is not payload"),
        ("https://example.org/a 5 data/other", "names a file that not every manifest lists"),
    ],
)
def test_a_fetch_file_that_is_none(bag: Path, line: str, said: str) -> None:
    (bag / "fetch.txt").write_text(f"{line}\n")
    (finding,) = check_bag(bag).findings
    assert (finding.path, finding.kind) == ("fetch.txt", "malformed")
    assert said in finding.message


def _append(name: str, text: str) -> Callable[[Path], None]:
    def change(bag: Path) -> None:
        with (bag / name).open("a", newline="") as file:
            file.write(text)

    return change


DIGEST = hashlib.sha256(b"alpha").hexdigest()


@pytest.mark.parametrize(
    ("change", "path", "said"),
    [
        (_append("manifest-sha256.txt", f"{DIGEST}  data/a.txt\n"), "manifest-sha256.txt", "lists a file once more"),
        (_append("manifest-sha256.txt", f"{DIGEST[1:]}  data/a\n"), "manifest-sha256.txt", "is not a sha256 digest"),
        (_append("manifest-sha256.txt", "nonsense\n"), "manifest-sha256.txt", "is not a sha256 digest"),
        (_append("manifest-sha256.txt", f"{DIGEST}  bagit.txt\n"), "manifest-sha256.txt", "is not below data/"),
        (_append("tagmanifest-sha256.txt", ""), "tagmanifest-sha256.txt", "does not list manifest-sha256.txt"),
        (_append("bag-info.txt", "Payload-Oxum: 1.1\n"), "bag-info.txt", "there are 4 of 14"),
        (_append("bag-info.txt", "Payload-Oxum: many\n"), "bag-info.txt", "is not two numbers"),
        (_append("bag-info.txt", "payload-oxum: 14.4\nPayload-Oxum: 14.4\n"), "bag-info.txt", "more than once"),
        (_append("bag-info.txt", "no label\n"), "bag-info.txt", "Line 1 is no label"),
        (lambda bag: shutil.rmtree(bag / "data"), "data/", "payload folder is not there"),
        (lambda bag: (bag / "bagit.txt").unlink(), "bagit.txt", "Without this file it is no bag"),
        (lambda bag: (bag / "manifest-sha256.txt").unlink(), "manifest-sha512.txt", "no payload manifest"),
    ],
)  # fmt: skip
def test_what_makes_a_bag_no_bag(bag: Path, change: Callable[[Path], None], path: str, said: str) -> None:
    change(bag)
    assert [f for f in check_bag(bag).findings if f.path == path and said in f.message]


def test_before_version_1_one_of_the_manifests_was_enough(tmp_path: Path) -> None:
    for version, found in (("0.97", {}), ("1.0", {"data/a.txt": "malformed", "data/b.txt": "malformed"})):
        bag = write_bag(tmp_path / version, {"a.txt": b"a", "b.txt": b"b"}, version=version)
        (bag / "manifest-sha256.txt").write_text(f"{hashlib.sha256(b'a').hexdigest()}  data/a.txt\n")
        (bag / "manifest-md5.txt").write_text(f"{hashlib.md5(b'b', usedforsecurity=False).hexdigest()}  data/b.txt\n")
        assert findings(bag) == found


def test_one_digest_that_disagrees_with_the_other_points_at_the_manifest(tmp_path: Path) -> None:
    bag = write_bag(tmp_path / "bag", PAYLOAD, algorithms=["md5", "sha256"])
    text = (bag / "manifest-md5.txt").read_text()
    old = hashlib.md5(b"alpha", usedforsecurity=False).hexdigest()
    (bag / "manifest-md5.txt").write_text(text.replace(old, old[::-1]))
    (finding,) = check_bag(bag).findings
    assert finding.message == "md5 says that it was changed, sha256 that it was not: look at the manifests."


@pytest.mark.parametrize(
    ("change", "note"),
    [
        (lambda line: line.replace("  ", " *"), "asterisk"),
        (lambda line: line.replace("data/", "./data/"), "begin with ./"),
        (lambda line: line.replace("/", "\\"), "backslashes"),
        (lambda line: line.replace("  ", "\t \t"), ""),
        (lambda line: line.upper() if "EMPTY" in line.upper() else line, ""),
        (lambda line: f"# a remark\n\n{line}", "list nothing"),
        (lambda line: line.replace("\n", "\r\n"), ""),
        (lambda line: line.replace("\n", "\r"), ""),
        (lambda line: f"\\{line}", "escaped"),
    ],
)
def test_manifests_of_checksum_tools_pass_with_a_note(
    tmp_path: Path, change: Callable[[str], str], note: str
) -> None:  # fmt: skip
    bag = write_bag(tmp_path / "bag", {"a.txt": b"alpha", "deep/b c.txt": b"beta"})
    lines = (bag / "manifest-sha256.txt").read_text().splitlines(keepends=True)
    (bag / "manifest-sha256.txt").write_text("".join(map(change, lines)), newline="")
    verdict = check_bag(bag)
    assert verdict.findings == []
    told = [line for line in verdict.notes if line.startswith("manifest-")]
    assert len(told) == bool(note)
    assert note in "".join(told)


def test_digests_in_upper_case_pass(bag: Path) -> None:
    lines = [line.split("  ") for line in (bag / "manifest-sha256.txt").read_text().splitlines()]
    (bag / "manifest-sha256.txt").write_text("".join(f"{digest.upper()}  {path}\n" for digest, path in lines))
    assert findings(bag) == {}
    assert not any("case" in note for note in check_bag(bag).notes)


@pytest.mark.skipif(sys.platform == "darwin", reason="the file system chooses the form itself")
def test_names_in_another_unicode_form_are_found_and_noted(tmp_path: Path) -> None:
    other = unicodedata.normalize("NFD", "data/ü.txt")
    bag = write_bag(tmp_path / "bag", {"ü.txt": b"x"}, listed={other: b"x"})
    verdict = check_bag(bag)
    assert verdict.findings == []
    assert any("Unicode form" in note for note in verdict.notes)
    (bag / "data" / "ü.txt").write_bytes(b"y")
    assert findings(bag) == {"data/ü.txt": "damaged"}


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="the file system takes them for one")
def test_names_that_are_one_elsewhere_are_each_checked_and_noted(tmp_path: Path) -> None:
    forms = [unicodedata.normalize(form, "é") for form in ("NFC", "NFD")]
    bag = write_bag(tmp_path / "bag", {"A": b"1", "a": b"2", forms[0]: b"3", forms[1]: b"4"})
    verdict = check_bag(bag)
    assert verdict.findings == []
    assert "On Windows and macOS these would be one file: data/A, data/a" in verdict.notes
    assert sum("would be one file" in note for note in verdict.notes) == 2
    (bag / "data" / forms[1]).unlink()
    assert findings(bag) == {f"data/{forms[1]}": "missing"}


def test_an_algorithm_that_is_not_known_is_said(bag: Path) -> None:
    (bag / "manifest-crc99.txt").write_text("00  data/a.txt\n")
    verdict = check_bag(bag)
    assert verdict.findings == []
    assert any("crc99 is no digest that this program knows" in note for note in verdict.notes)


def test_tag_files_that_nothing_guards_are_said(bag: Path) -> None:
    digest = hashlib.sha256((bag / "manifest-sha256.txt").read_bytes()).hexdigest()
    (bag / "tagmanifest-sha256.txt").write_text(f"{digest}  manifest-sha256.txt\n")
    (bag / "notes" / "x.txt").parent.mkdir()
    (bag / "notes" / "x.txt").write_text("x")
    assert findings(bag) == {}
    done = check(bag)
    assert "notes/x.txt is in no tag manifest" in done.stderr
    assert "bagit.txt is in no tag manifest" in done.stderr


def test_what_the_system_left_is_told_apart(bag: Path) -> None:
    (bag / "data" / ".DS_Store").write_bytes(b"x")
    assert "extra data/.DS_Store: No manifest lists it. Systems leave such files; it can be deleted." in (
        check(bag).stdout.splitlines()
    )


@pytest.mark.parametrize("base", ["", "bag/", "another name/"])
def test_a_zip_with_a_folder_or_without(tmp_path: Path, bag: Path, base: str) -> None:
    packed = zipped(bag, tmp_path / "bag.zip", base)
    assert check(packed).exit_code == 0
    with zipfile.ZipFile(packed, "a") as archive:
        archive.writestr("beside.txt", "x")
        archive.writestr(f"{base}data/more", "x")
    assert findings(packed) == {"data/more": "extra"} | ({"beside.txt": "extra"} if base else {})


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_odd_things_in_a_zip_are_named(tmp_path: Path, bag: Path) -> None:
    packed = zipped(bag, tmp_path / "bag.zip")
    with zipfile.ZipFile(packed, "a") as archive:
        archive.writestr("bag/data/a.txt", "other")
        archive.writestr("bag/../out.txt", "x")
        archive.writestr("/etc/x", "x")
        link = zipfile.ZipInfo("bag/data/link")
        link.external_attr = 0o120777 << 16
        archive.writestr(link, "/etc/passwd")
    found = {(finding.path, finding.kind) for finding in check_bag(packed).findings}
    assert {
        ("data/a.txt", "malformed"), ("bag/../out.txt", "unsafe"), ("/etc/x", "unsafe"), ("data/link", "unsafe"),
    } <= found  # fmt: skip


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"nothing of the kind" * 100])
def test_what_is_no_bag_at_all(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(data)
    done = check(tmp_path / "x.zip")
    assert done.exit_code == 1
    assert "unreadable the bag: It cannot be read as a zip" in done.stdout
    (tmp_path / "empty").mkdir()
    assert findings(tmp_path / "empty") == {
        "bagit.txt": "missing", "data/": "missing", "manifest-sha512.txt": "missing",
    }  # fmt: skip
    assert check(tmp_path / "not there").exit_code == 2


def test_an_empty_payload_is_a_payload(tmp_path: Path) -> None:
    assert findings(write_bag(tmp_path / "bag", {})) == {}


def test_json_names_all_of_it(bag: Path) -> None:
    (bag / "data" / "a.txt").write_bytes(b"x")
    done = check(bag, "--json")
    told = json.loads(done.stdout)
    assert (done.exit_code, told["format"], told["whole"]) == (1, "journalgen-bag-check/1", False)
    assert told["bags"][0]["findings"] == [
        {"path": "data/a.txt", "kind": "damaged",
         "message": "It is not what it was when the bag was made (sha256)."}
    ]  # fmt: skip
    assert told["bags"][0]["files"] == 4


@pytest.mark.parametrize("option", ["--zip", "--to=x", "--since=2024-01-01", "--edition=owner", "--on=2024-01-01", "."])
def test_a_check_takes_nothing_else(bag: Path, option: str) -> None:
    assert check(bag, option).exit_code == 2


def test_nothing_of_a_bag_is_changed_by_a_check(bag: Path) -> None:
    before = contents(bag)
    check(bag)
    assert contents(bag) == before
