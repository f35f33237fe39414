"""Whether a bag and those it builds on hold together all that the journal held when it was made."""

from __future__ import annotations

import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen.outside.bag.checking import check_bag
from journalgen.outside.bag.earlier import name_of
from journalgen.outside.bag.model import DECLARATION, MISSING, Finding, Held, Progress, Verdict
from journalgen.outside.bag.targets import ZIP

Bar = Callable[[str], AbstractContextManager[Progress]]
_SHA512: Final = "sha512"


class Chain(Struct):
    """A bag that was checked, and the bags beside it that hold what it builds on."""

    bag: Verdict
    earlier: list[Verdict] = field(default_factory=list)
    elsewhere: list[tuple[str, int]] = field(default_factory=list)  # bags that are not here, and how many files of each

    @property
    def bags(self) -> list[Verdict]:
        return [self.bag, *self.earlier]

    @property
    def is_whole(self) -> bool:
        return not any(verdict.findings for verdict in self.bags)


def check_chain(path: Path, bar: Bar) -> Chain:
    """Checks a bag; if it builds on others, those of them that lie beside it are checked with it, under any name."""
    with bar("checking") as progress:
        chain = Chain(check_bag(path, progress))
    own = _kept(chain.bag)
    missing = {(row.path, row.digest): row for row in chain.bag.held if (row.path, row.digest) not in own}
    for other in _beside(path) if missing else ():
        if found := missing.keys() & _kept(other):
            missing = {key: row for key, row in missing.items() if key not in found}
            with bar(f"checking {other.bag.name}") as progress:
                chain.earlier.append(check_bag(other.bag, progress))
    _tell_missing(chain, list(missing.values()), {name_of(other) for other in chain.earlier})
    return chain


def _tell_missing(chain: Chain, rows: list[Held], here: set[str]) -> None:
    """A file that a bag beside this one should hold is missing; of bags that lie elsewhere nothing is known."""
    here = {*here, name_of(chain.bag)}
    for row in rows:
        if row.bag in here:
            chain.bag.findings.append(Finding(row.path, MISSING, f"The journal held it, and {row.bag} does not."))
    chain.bag.findings.sort()
    chain.elsewhere = sorted(Counter(row.bag for row in rows if row.bag not in here).items())


def _kept(verdict: Verdict) -> set[tuple[str, str]]:
    return set(verdict.payload.get(_SHA512, {}).items())


def _beside(path: Path) -> Iterator[Verdict]:
    """The other bags of ours in the folder that a bag lies in, as far as their tag files tell."""
    home = path.resolve()
    for other in sorted(home.parent.iterdir()):
        if other != home and not other.name.startswith(".") and _may_be_bag(other):
            verdict = check_bag(other, payload=False)
            if verdict.is_ours:
                yield verdict


def _may_be_bag(path: Path) -> bool:
    if path.is_dir():
        return (path / DECLARATION).is_file()
    return path.suffix.lower() == ZIP and zipfile.is_zipfile(path)
