"""How a bag describes itself: its declaration, bag-info.txt, manifests and fetch.txt, and every fault in them."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlsplit

from msgspec import Struct, field

from journalgen.outside.bag.manifests import Manifest, known_algorithms, manifest_name, parse_manifest
from journalgen.outside.bag.model import (
    DECLARATION,
    FETCH,
    INFO,
    MALFORMED,
    MISSING,
    PAYLOAD,
    UNREADABLE,
    UNSAFE,
    Finding,
    Verdict,
)  # fmt: skip
from journalgen.outside.bag.opening import Opened, Unreadable, read_whole
from journalgen.outside.bag.paths import decode_path, is_unsafe
from journalgen.outside.bag.tag_files import (
    Declaration,
    decode_text,
    parse_declaration,
    parse_fetch_line,
    parse_info,
    split_lines,
)


class Description(Struct):
    """What the tag files of a bag say."""

    declared: Declaration = Declaration()
    payload: list[Manifest] = field(default_factory=list)
    tags: list[Manifest] = field(default_factory=list)
    to_fetch: dict[str, str] = field(default_factory=dict)  # file -> its address
    raw: dict[str, bytes] = field(default_factory=dict)  # the tag files that were read

    @property
    def manifests(self) -> list[Manifest]:
        return [*self.payload, *self.tags]

    @property
    def listed(self) -> set[str]:
        """Every file that some manifest lists."""
        return {name for manifest in self.manifests for name in manifest.rows}


def describe(bag: Opened, verdict: Verdict) -> Description:
    """Reads the tag files; faults and notes go into the verdict, and what it says of the bag."""
    reader = _Reader(bag, verdict)
    reader.read_declaration()
    reader.read_info()
    reader.read_manifests()
    reader.read_fetch()
    return reader.found


class _Reader:
    def __init__(self, bag: Opened, verdict: Verdict) -> None:
        self.bag = bag
        self.verdict = verdict
        self.found = Description()

    def find(self, path: str, kind: str, message: str) -> None:
        self.verdict.findings.append(Finding(path, kind, message))

    def tag_file(self, name: str) -> bytes | None:
        """What a tag file holds; None where it is absent. One that cannot be read is said, and holds nothing."""
        if name not in self.bag.files:
            return None
        try:
            self.found.raw[name] = read_whole(self.bag, name)
        except Unreadable as fault:
            self.find(name, UNREADABLE, str(fault))
        return self.found.raw.get(name, b"")

    def text(self, name: str) -> str:
        """The text of a tag file; none where it is absent."""
        data, encoding = self.tag_file(name) or b"", self.found.declared.encoding
        try:
            text, marked = decode_text(data, encoding)
        except UnicodeError:
            self.find(name, MALFORMED, f"It is not {encoding}, which bagit.txt says it is.")
            return data.decode("latin-1")  # so that what it lists can still be compared
        if marked:
            self.verdict.notes.append(f"{name} begins with a byte order mark, which strict validation does not accept.")
        return text

    def read_declaration(self) -> None:
        data = self.tag_file(DECLARATION)
        if data is None:
            self.find(DECLARATION, MISSING, "Without this file it is no bag.")
            return
        self.found.declared, faults = parse_declaration(data)
        self.verdict.version = self.found.declared.version
        for fault in faults:
            self.find(DECLARATION, MALFORMED, fault)

    def read_info(self) -> None:
        self.verdict.info, faulty = parse_info(self.text(INFO))
        for number in faulty:
            self.find(INFO, MALFORMED, f"Line {number} is no label with a value.")

    def read_manifests(self) -> None:
        for name in sorted(self.bag.files):
            if found := manifest_name(name):
                self.read_manifest(name, *found)
        payload = self.found.payload
        self.verdict.algorithms = tuple(manifest.algorithm for manifest in payload)
        self.verdict.payload = {manifest.algorithm: manifest.rows for manifest in payload}
        if not payload:
            self.find("manifest-sha512.txt", MISSING, "There is no payload manifest that this program can read.")
        if not self.found.tags:
            self.verdict.notes.append("There is no tag manifest, so nothing guards what describes the payload.")

    def read_manifest(self, name: str, is_tag: bool, algorithm: str) -> None:
        if algorithm not in known_algorithms():
            self.verdict.notes.append(f"{name} was not looked at: {algorithm} is no digest that this program knows.")
            return
        manifest = parse_manifest(name, self.text(name), self.bag.files.keys(), self.found.declared.version)
        (self.found.tags if is_tag else self.found.payload).append(manifest)
        self.verdict.findings += manifest.findings
        self.verdict.notes += [f"{name}: {quirk}; strict validation may refuse that." for quirk in manifest.quirks]

    def read_fetch(self) -> None:
        for number, line in enumerate(split_lines(self.text(FETCH)), 1):
            if line.strip():
                for kind, message in self.fetch_line_faults(line):
                    self.find(FETCH, kind, f"Line {number} {message}")

    def fetch_line_faults(self, line: str) -> Iterator[tuple[str, str]]:
        """What is wrong with a line of fetch.txt; what is not goes among the files to be fetched (2.2.3)."""
        row = parse_fetch_line(line)
        if row is None:
            yield MALFORMED, "is not an address, a length and a path."
            return
        address, path = row[0], decode_path(row[1])
        if not _is_absolute(address):
            yield MALFORMED, "does not begin with an absolute address."
        if is_unsafe(path):
            yield UNSAFE, "names a file outside the bag, which was not looked at."
        elif not path.startswith(PAYLOAD):
            yield MALFORMED, f"names a file that is not payload: {path}"
        elif not all(path in manifest.rows for manifest in self.found.payload):
            yield MALFORMED, f"names a file that not every manifest lists: {path}"
        else:
            self.found.to_fetch[path] = address


def _is_absolute(address: str) -> bool:
    try:
        found = urlsplit(address)
    except ValueError:
        return False
    return bool(found.scheme and (found.netloc or found.path))
