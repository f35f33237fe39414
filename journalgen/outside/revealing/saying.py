"""What an inspection found, said to the owner."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from typing import Final

from journalgen.editions import HOURS, PRICES, SUPPLIERS
from journalgen.outside.revealing.model import Finding
from journalgen.outside.revealing.patterns import labels

_MOST: Final = 8  # of one kind; the first few tell the owner what it is about
_LONGEST: Final = 100  # letters of what was found

_KINDS: Final = {
    "hidden-supplier": "Supplier that the journal hides",
    "hidden-storage": "Storage place that the journal hides",
    "hidden-number": "Number that the journal hides",
    "hidden-price": "Price that the journal hides",
    "private-session": "From a private session",
    "private-line": "From a private line",
    "picture-position": "Position in a picture",
    "picture-identity": "Owner or camera in a picture",
    "price": "Amount of money in a text",
    "camera-data": "Data of a camera in a picture",
    "not-looked-into": "Could not be looked into",
    "broken-link": "Link that leads nowhere",
    "oversize": "Large file",
    "added": "Not written by this program, and sent with the site",
}

_REMEDIES: Final = {
    "hidden-supplier": "Take the name out of the text, or `suppliers` out of `hide`.",
    "hidden-storage": "Take it out of the text, or `storage` out of `hide`.",
    "hidden-number": "Take it out of the text, or `numbers` out of `hide`.",
    "hidden-price": "Take it out of the text, or `prices` out of `hide`.",
    "private-session": "Take it out of what is public.",
    "private-line": "Take it out of what is public.",
    "picture-position": "Take the file out of web/public, or its data out of the file.",
    "picture-identity": "Take the file out of web/public, or its data out of the file.",
}

_SHOWN: Final = {PRICES: "prices", SUPPLIERS: "supplier names", HOURS: "hours"}


def finding_lines(findings: Sequence[Finding], known: Collection[tuple[str, str]]) -> Iterator[str]:
    """Every kind with what was found of it. What is in `known` was agreed to before, and is only counted."""
    before = [finding for finding in findings if finding.key in known and not finding.stops]
    fresh = [finding for finding in findings if finding not in before]
    for kind, group in groupby(fresh, key=lambda finding: finding.kind):
        rows = list(group)
        severity = "stops, " if rows[0].stops else ""
        yield f"{severity}{_label(kind)}:"
        for finding in rows[:_MOST]:
            yield f"  {_short(finding.what)}  ({_where(finding)})" if kind != "added" else f"  {finding.what}"
        if len(rows) > _MOST:
            yield f"  and {len(rows) - _MOST} more"
        if kind in _REMEDIES and rows[0].stops:
            yield f"  Remedy: {_REMEDIES[kind]}"
    if before:
        yield f"Agreed to before: {len(before)} finding{'' if len(before) == 1 else 's'}."


def shown_line(hidden: Collection[str]) -> str | None:
    """Which kinds of fact strangers are shown because the journal does not hide them; None if there is none."""
    shown = [words for kind, words in _SHOWN.items() if kind not in hidden]
    return f"The journal does not hide {' and '.join(shown)}: strangers see them." if shown else None


def judgement_line(pictures: int) -> str:
    """What no program can tell."""
    many = f"{pictures} picture{'' if pictures == 1 else 's'}"
    return (
        f"{many} to be sent: whether a face, a number plate or a house can be known again is for you to judge. "
        "Cover such places with `hide` on the line of the photograph."
    )


def _label(kind: str) -> str:
    label = _KINDS.get(kind) or labels()[kind]
    return label[0].upper() + label[1:]


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def _where(finding: Finding) -> str:
    if finding.places:
        return ", ".join(finding.places)
    more = f" and {len(finding.files) - 1} more" if len(finding.files) > 1 else ""
    return f"{finding.files[0]}{more}"
