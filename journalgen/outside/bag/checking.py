"""Whether a bag is complete and valid (3), and every file that keeps it from being so."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final

from journalgen.outside.bag.description import Description, describe
from journalgen.outside.bag.manifests import BOTH_CASES, LISTS_NOTHING, manifest_name, new_digest
from journalgen.outside.bag.model import (
    DAMAGED,
    EXTRA,
    HOLDINGS,
    INFO,
    MALFORMED,
    MISSING,
    NOT_FETCHED,
    PAYLOAD,
    UNREADABLE,
    Count,
    Finding,
    Progress,
    Verdict,
    silent,
)
from journalgen.outside.bag.opening import Opened, Unreadable, check_seal, opened, pieces, read_whole
from journalgen.outside.bag.paths import collisions
from journalgen.outside.bag.tag_files import parse_holdings

_OF_THE_SYSTEM: Final = (".DS_Store", "Thumbs.db", "desktop.ini")
_OXUM: Final = "Payload-Oxum"
_ONE: Final = (1, 0)


def check_bag(path: Path, progress: Progress = silent, *, payload: bool = True) -> Verdict:
    """Checks a bag of whatever program, in a folder or a zip.

    Without `payload` the files of the payload must be there, and are not read.
    """
    verdict = Verdict(path)
    try:
        with opened(path) as bag:
            _check(bag, verdict, progress, payload)
    except Unreadable as fault:
        verdict.findings.append(Finding("", UNREADABLE, str(fault)))
    verdict.findings = sorted(set(verdict.findings))
    verdict.notes = list(dict.fromkeys(verdict.notes))
    return verdict


def _check(bag: Opened, verdict: Verdict, progress: Progress, payload: bool) -> None:
    verdict.findings += bag.findings
    told = describe(bag, verdict)
    verdict.findings += _absent(bag, told)
    verdict.findings += _unlisted(bag, told)
    verdict.findings += _oxum_faults(bag, told, verdict)
    verdict.findings += _damage(bag, told, verdict, progress, payload)
    if verdict.is_ours:
        verdict.findings += _faults_of_ours(bag, told, verdict)
    elif told.tags:
        verdict.notes += [f"{name} is in no tag manifest, so it was not checked." for name in _free_tags(bag, told)]
    for group in collisions(bag.files):
        verdict.notes.append(f"On Windows and macOS these would be one file: {', '.join(group)}")


def _absent(bag: Opened, told: Description) -> Iterator[Finding]:
    """What is listed must be there."""
    if not bag.has_payload:
        yield Finding(PAYLOAD, MISSING, "The payload folder is not there.")
    for name in told.listed - bag.files.keys():
        if name in told.to_fetch:
            yield Finding(name, NOT_FETCHED, f"It was not fetched yet from {told.to_fetch[name]}")
        else:
            yield Finding(name, MISSING, "It is listed, and not there.")


def _unlisted(bag: Opened, told: Description) -> Iterator[Finding]:
    """What is there must be listed: before BagIt 1.0 by one manifest, since then by every one."""
    listed = {name for name in told.listed if name.startswith(PAYLOAD)}
    for name in bag.files.keys() - listed if told.payload else ():
        if name.startswith(PAYLOAD):
            yield Finding(name, EXTRA, f"No manifest lists it.{_hint(name)}")
    for manifest in told.payload if told.declared.version >= _ONE else ():
        for name in listed - manifest.rows.keys():
            yield Finding(name, MALFORMED, f"{manifest.file} does not list it, though another manifest does.")
    for manifest in told.tags:
        for other in told.payload:
            if other.file not in manifest.rows:
                yield Finding(manifest.file, MALFORMED, f"It does not list {other.file}, and must.")


def _free_tags(bag: Opened, told: Description) -> Iterator[str]:
    """Files that are neither payload nor listed by a tag manifest, nor one themselves."""
    listed = {name for manifest in told.tags for name in manifest.rows}
    for name in sorted(bag.files.keys() - listed):
        found = manifest_name(name)
        if not name.startswith(PAYLOAD) and not (found and found[0]):
            yield name


def _oxum_faults(bag: Opened, description: Description, verdict: Verdict) -> Iterator[Finding]:
    """The sum of the payload's bytes and files must be what bag-info.txt says (2.2.2)."""
    sizes = [size for name, size in bag.files.items() if name.startswith(PAYLOAD)]
    verdict.files, verdict.octets = len(sizes), sum(sizes)
    told = [value for label, value in verdict.info if label.casefold() == _OXUM.casefold()]
    holes = description.to_fetch.keys() - bag.files.keys()
    if len(told) > 1:
        yield Finding(INFO, MALFORMED, f"{_OXUM} stands there more than once.")
    for value in told[:1]:
        octets, _, files = value.partition(".")
        if not all(number.isascii() and number.isdigit() for number in (octets, files)):
            yield Finding(INFO, MALFORMED, f"{_OXUM} is not two numbers with a point between them: {value}")
        elif (int(octets), int(files)) != (verdict.octets, verdict.files) and not holes:
            there = f"there are {verdict.files} of {verdict.octets}"
            yield Finding(INFO, MALFORMED, f"{_OXUM} says {files} files of {octets} bytes; {there}.")


def _damage(
    bag: Opened, told: Description, verdict: Verdict, progress: Progress, payload: bool
) -> Iterator[Finding]:  # fmt: skip
    """Reads every listed file once, for all its digests."""
    wanted: dict[str, dict[str, str]] = {}
    for manifest in told.manifests if payload else told.tags:
        for name in manifest.rows.keys() & bag.files.keys():
            wanted.setdefault(name, {})[manifest.algorithm] = manifest.rows[name]
    sealed = payload and bag.is_sealed
    total = sum(bag.files[name] for name in wanted) + (verdict.bag.stat().st_size if sealed else 0)
    tell = Count(progress, total).add
    for name in sorted(wanted):
        try:
            wrong = _wrong_digests(bag, name, wanted[name], tell)
        except Unreadable as fault:
            yield Finding(name, UNREADABLE, str(fault))
            continue
        if wrong:
            yield Finding(name, DAMAGED, _told_by(wrong, wanted[name]))
    if sealed and (finding := check_seal(verdict.bag, tell)):
        yield finding


def _wrong_digests(bag: Opened, name: str, wanted: Mapping[str, str], tell: Callable[[int], None]) -> list[str]:
    """The algorithms by which a file is not what it was. Raises Unreadable."""
    made = {algorithm: new_digest(algorithm) for algorithm in wanted}
    for piece in pieces(bag, name):
        for begun in made.values():
            begun.update(piece)
        tell(len(piece))
    return sorted(algorithm for algorithm, digest in made.items() if digest.hexdigest() != wanted[algorithm])


def _told_by(wrong: list[str], every: Mapping[str, str]) -> str:
    sound = ", ".join(sorted(every.keys() - {*wrong}))
    if not sound:
        return f"It is not what it was when the bag was made ({', '.join(wrong)})."
    return f"{', '.join(wrong)} says that it was changed, {sound} that it was not: look at the manifests."


def _faults_of_ours(bag: Opened, told: Description, verdict: Verdict) -> Iterator[Finding]:
    """This program lists every tag file, by each of its algorithms, and writes digests in lower case only."""
    for name in _free_tags(bag, told):
        yield Finding(name, EXTRA, f"No manifest lists it.{_hint(name)}")
    for algorithm in sorted({*verdict.algorithms} - {manifest.algorithm for manifest in told.tags}):
        yield Finding(f"tagmanifest-{algorithm}.txt", MISSING, "It was made with the bag, and is not there.")
    for manifest in told.tags:  # which nothing guards: all else that one bit can do to them shows by what they list
        if BOTH_CASES in manifest.quirks:
            yield Finding(manifest.file, DAMAGED, f"Some of its {BOTH_CASES}.")
        if LISTS_NOTHING in manifest.quirks:
            yield Finding(manifest.file, DAMAGED, "It has lines that list nothing, which this program writes none of.")
    if HOLDINGS in bag.files:
        try:
            held = parse_holdings(read_whole(bag, HOLDINGS))
        except Unreadable:  # which was said when it was compared
            return
        if held is None:
            yield Finding(HOLDINGS, MALFORMED, "It is not as this program writes it.")
        verdict.held = held or ()


def _hint(name: str) -> str:
    last = name.rpartition("/")[2]
    if last in _OF_THE_SYSTEM or last.startswith("._"):
        return " Systems leave such files; it can be deleted."
    return ""
