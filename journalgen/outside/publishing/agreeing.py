"""What the owner has agreed to show strangers, so that nobody is asked the same again."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from journalgen import keeping
from journalgen.outside.publishing.run import HOME
from journalgen.outside.revealing.model import Finding

_KEPT: Final = "agreed"

Keys = frozenset[tuple[str, str]]


def agreed(journal: Path) -> Keys:
    """The findings that were agreed to."""
    return keeping.load(_file(journal), Keys) or frozenset()


def agree(journal: Path, findings: Iterable[Finding]) -> None:
    """Remembers these, and no others: what was taken out in the meantime is asked for again."""
    keeping.save(_file(journal), frozenset(finding.key for finding in findings))


def _file(journal: Path) -> Path:
    return journal / keeping.CACHE / HOME / _KEPT
