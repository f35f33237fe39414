"""Manifests: which files a bag lists, with which digests (2.1.3, 2.2.1)."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Mapping
from functools import cache
from typing import Final, Protocol

from msgspec import Struct, field

from journalgen.outside.bag.model import MALFORMED, PAYLOAD, UNSAFE, Finding
from journalgen.outside.bag.paths import decode_path, encode_path, is_unsafe, same_form
from journalgen.outside.bag.tag_files import split_lines

_NAME: Final = re.compile(r"(tag)?manifest-([A-Za-z0-9]+)\.txt")
_LINE: Final = re.compile(r"(\\?)([0-9A-Fa-f]+)[ \t]+(.+)", re.DOTALL)

UNENCODED: Final = "names are not percent-encoded as section 2.1.3 asks"
BINARY_MARK: Final = "paths have the asterisk of a checksum tool before them (6.1.3)"
OTHER_FORM: Final = "names on this disk have another Unicode form than in the manifest (6.1.1.2)"
BACKSLASHES: Final = "paths have backslashes for slashes"
ESCAPED: Final = "backslashes are escaped as checksum tools do (6.1.3)"
LISTS_NOTHING: Final = "there are lines that list nothing"
BOTH_CASES: Final = "digests have letters of the other case, as no program writes them"
DOT: Final = "paths begin with ./"


class Digest(Protocol):
    """A digest on its way."""

    @property
    def digest_size(self) -> int: ...

    def update(self, data: bytes, /) -> None: ...

    def hexdigest(self) -> str: ...


class Manifest(Struct):
    """One manifest as it was read."""

    file: str
    algorithm: str
    is_tag: bool
    rows: dict[str, str] = field(default_factory=dict)  # the name in the bag -> digest, in lower case
    findings: list[Finding] = field(default_factory=list)
    quirks: set[str] = field(default_factory=set)  # which strict validation would not let pass


def manifest_name(file: str) -> tuple[bool, str] | None:
    """Whether a file of the base folder is a tag manifest or one of the payload, and its algorithm; None if neither."""
    found = _NAME.fullmatch(file)
    return (found[1] is not None, found[2].lower()) if found else None


@cache
def known_algorithms() -> Mapping[str, str]:
    """The algorithms that can be computed here, by their names as manifests have them (2.4)."""
    fixed = (name for name in hashlib.algorithms_guaranteed if hashlib.new(name, usedforsecurity=False).digest_size)
    return {re.sub("[^a-z0-9]", "", name.lower()): name for name in fixed}


def new_digest(algorithm: str) -> Digest:
    """Begins a digest of an algorithm that is known."""
    return hashlib.new(known_algorithms()[algorithm], usedforsecurity=False)  # md5 and sha1 guard against accidents


def spell_manifest(rows: Mapping[str, str]) -> bytes:
    """A manifest, sorted, so that the same files give the same bytes."""
    spelt = sorted((encode_path(name), digest) for name, digest in rows.items())
    return "".join(f"{digest}  {path}\n" for path, digest in spelt).encode()


def parse_manifest(
    file: str, text: str, names: Collection[str], version: tuple[int, int] = (1, 0)
) -> Manifest:  # fmt: skip
    """Reads a manifest of a bag that holds the files `names`. Its algorithm must be known.

    A path that does not stand there as the standard asks is taken for the file it can only mean, and that is a quirk.
    """
    is_tag, algorithm = manifest_name(file) or (False, "sha512")
    read = Manifest(file, algorithm, is_tag)
    length = new_digest(algorithm).digest_size * 2
    listed: list[tuple[int, str, str]] = []
    for number, line in enumerate(split_lines(text), 1):
        found = _LINE.fullmatch(line)
        if not line.strip() or line.startswith("#"):
            read.quirks.add(LISTS_NOTHING)
        elif found is None or len(found[2]) != length:
            read.findings.append(_malformed(file, number, f"is not a {algorithm} digest and a path"))
        else:
            listed.append((number, found[2].lower(), _unescaped(found[3], read) if found[1] else found[3]))
    if len({digest_case(line) for line in split_lines(text)} - {None}) > 1:
        read.quirks.add(BOTH_CASES)
    resolve = _Resolver(names, {decode_path(path) for _, _, path in listed}, read.quirks, version)
    for number, digest, path in listed:
        _list(read, number, digest, resolve.name(path), version)
    return read


def _unescaped(path: str, read: Manifest) -> str:
    read.quirks.add(ESCAPED)
    return path.replace("\\\\", "\\")


def digest_case(line: str) -> bool | None:
    """Whether the digest of a line is in upper case; None where it has no letters."""
    letters = re.sub("[^A-Za-z]", "", line.partition(" ")[0])
    return None if not letters else not letters.islower()


def _list(read: Manifest, number: int, digest: str, name: str | None, version: tuple[int, int]) -> None:
    if name is None:
        read.findings.append(
            Finding(read.file, UNSAFE, f"Line {number} names a file outside the bag, which was not looked at.")
        )
    elif name.startswith(PAYLOAD) == read.is_tag:
        what = "payload, which a tag manifest must not list" if read.is_tag else "a file that is not below data/"
        read.findings.append(_malformed(read.file, number, f"lists {what}: {name}"))
    elif name in read.rows:
        if version >= (1, 0) or read.rows[name] != digest:
            read.findings.append(_malformed(read.file, number, f"lists a file once more: {name}"))
        else:
            read.quirks.add("files are listed more than once")
    else:
        read.rows[name] = digest


def _malformed(file: str, number: int, what: str) -> Finding:
    return Finding(file, MALFORMED, f"Line {number} {what}.")


class _Resolver:
    """Tells which file of the bag a path of a manifest means."""

    def __init__(
        self, names: Collection[str], exact: Collection[str], quirks: set[str], version: tuple[int, int]
    ) -> None:
        self._names = names
        self._may_be_plain = version < (1, 0)  # until then per cent signs stood for themselves
        self._quirks = quirks
        self._forms: dict[str, list[str]] = {}
        for name in names:
            if name not in exact:
                self._forms.setdefault(same_form(name), []).append(name)

    def name(self, path: str) -> str | None:
        """The name, also of a file that is not there; None for a path that leads out of the bag."""
        decoded = decode_path(path)
        for exact in (path, decoded) if self._may_be_plain else (decoded,):
            if exact in self._names:
                return exact
        for guess, quirk in (
            (path, UNENCODED),
            (decode_path(path.removeprefix("*")), BINARY_MARK),
            (decode_path(path.removeprefix("./")), DOT),
            (decode_path(path.replace("\\", "/")), BACKSLASHES),
        ):
            if guess in self._names:
                self._quirks.add(quirk)
                return guess
        if is_unsafe(path) or is_unsafe(decoded):
            return None
        alike = self._forms.get(same_form(decoded), [])
        if len(alike) == 1:
            self._quirks.add(OTHER_FORM)
            return alike[0]
        return decoded
