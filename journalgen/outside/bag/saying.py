"""What was made, and what came of a check, as a person reads it and as a script does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from journalgen.outside.bag.chain import Chain
from journalgen.outside.bag.model import Finding, Verdict
from journalgen.outside.bag.order import Done
from journalgen.terminal import spell_size

MADE: Final = "journalgen-preserve/1"
CHECKED: Final = "journalgen-bag-check/1"
_MOST: Final = 10
"""Lines of one kind before the rest is only counted."""


def done_lines(done: Done, journal: str) -> Iterator[str]:
    """What is to be known of a bag that was made."""
    yield from _some("Not in the bag", [f"{lost.name}: {lost.why}" for lost in done.lost])
    yield from _some("Kept under another name, since its own is not text", [f"{a} -> {b}" for a, b in done.renamed])
    yield from _some("Not every system can store these names", done.names)
    yield from _some("Left out, being hidden", done.hidden)
    yield from _some("Kept, and left out of the pages because of errors", done.left_out)
    if done.without_site:
        yield (
            f"The journal has errors, so it was kept without site, tables, dossier; see: journalgen inspect {journal}"
        )
    if done.without_dossier:
        yield f"Kept without its dossier. {done.without_dossier}"
    if done.kept_before or done.gone:
        yield f"{_files(done.kept_before)} in earlier bags, as before; {done.gone} there that the journal has no more."
    yield f"{_files(done.files)}, {spell_size(done.octets)}, copied and read back."


def _some(head: str, rows: Sequence[str]) -> Iterator[str]:
    if rows:
        yield f"{head}:"
    for row in rows[:_MOST]:
        yield f"  {row}"
    if len(rows) > _MOST:
        yield f"  and {len(rows) - _MOST} more; --json names them all"


def _files(many: int) -> str:
    return f"{many} file{'' if many == 1 else 's'}"


def done_json(done: Done) -> dict[str, Any]:
    """The same in the stable shape of journalgen-preserve/1."""
    return {
        "format": MADE,
        "bag": str(done.bag),
        "files": done.files,
        "octets": done.octets,
        "kept_before": done.kept_before,
        "gone": done.gone,
        "not_in_the_bag": [{"file": lost.name, "why": lost.why} for lost in done.lost],
        "renamed": [{"file": old, "in_the_bag": new} for old, new in done.renamed],
        "names": done.names,
        "hidden": done.hidden,
        "left_out_of_the_site": list(done.left_out),
        "with_site": not done.without_site,
        "with_dossier": not (done.without_site or done.without_dossier),
    }


def chain_lines(chain: Chain) -> Iterator[str]:
    """Every finding, bag by bag, and a sentence on each bag."""
    for verdict in chain.bags:
        for finding in verdict.findings:
            yield finding_line(finding)
        yield _sentence(verdict)
    if chain.earlier and chain.is_whole and not chain.elsewhere:
        many = len(chain.bag.held)
        yield f"Together they hold all that the journal held: {_files(many)}."


def finding_line(finding: Finding) -> str:
    """`missing data/a.txt: It is listed, and not there.`"""
    return f"{finding.kind} {finding.path or 'the bag'}: {finding.message}"


def _sentence(verdict: Verdict) -> str:
    if verdict.findings:
        many = len(verdict.findings)
        return f"{verdict.bag} is not whole: {many} finding{'' if many == 1 else 's'}."
    version = ".".join(map(str, verdict.version))
    by = ", ".join(verdict.algorithms)
    size = spell_size(verdict.octets)
    return f"{verdict.bag} is whole: {_files(verdict.files)}, {size}, by {by} (BagIt {version})."


def note_lines(chain: Chain) -> Iterator[str]:
    """What is worth knowing, and makes no bag less whole."""
    for verdict in chain.bags:
        yield from verdict.notes
    for name, many in chain.elsewhere:
        where = "an earlier bag" if name == "-" else f"{name}, which is not beside this bag and was not checked"
        yield f"{_files(many)} of the journal: in {where}."


def chain_json(chain: Chain) -> dict[str, Any]:
    """The same in the stable shape of journalgen-bag-check/1."""
    return {
        "format": CHECKED,
        "whole": chain.is_whole,
        "bags": [_verdict_json(verdict) for verdict in chain.bags],
        "elsewhere": [{"bag": name, "files": many} for name, many in chain.elsewhere],
    }


def _verdict_json(verdict: Verdict) -> dict[str, Any]:
    return {
        "bag": str(verdict.bag),
        "whole": not verdict.findings,
        "version": ".".join(map(str, verdict.version)),
        "algorithms": list(verdict.algorithms),
        "files": verdict.files,
        "octets": verdict.octets,
        "findings": [{"path": f.path, "kind": f.kind, "message": f.message} for f in verdict.findings],
        "notes": verdict.notes,
    }
