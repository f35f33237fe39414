"""What is to be done at a target, and in which order, from what the site holds and what the target has of it.

The order is what keeps a target's links whole when it breaks off anywhere. At first comes what is new, to which
nothing at the target leads yet: pictures, whose names tell what they hold, then the rest. Then everything that
a new page leads to is there, and what has changed may be replaced, page by page; the entrances come last. Only
then does nothing lead to what is removed. So every link that can be followed from an entrance leads somewhere,
at every moment.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

from msgspec import Struct

from journalgen.outside.publishing.manifest import Manifest

SEND: Final = "send"
CHANGE: Final = "change"
REMOVE: Final = "remove"

ENTRANCES: Final = ("404.html", "sitemap.xml", "feed.atom", "index.html")
"""What people and readers come in by, the last one last."""

_HASHED: Final = "pictures/"
_PAGE: Final = ".html"


class Local(Struct, frozen=True):
    """A file of the site that is to be published."""

    digest: str  # SHA-256, hexadecimal
    size: int  # bytes


class Step(Struct, frozen=True):
    """One file to be sent, changed or removed."""

    do: str
    name: str
    size: int = 0  # bytes to be sent


class Plan(Struct, frozen=True):
    """All that is to be done, in order."""

    steps: tuple[Step, ...] = ()
    taken: tuple[str, ...] = ()  # names that a file of somebody else has at the target

    @property
    def size(self) -> int:
        """Bytes to be sent."""
        return sum(step.size for step in self.steps)

    def names(self, *kinds: str) -> tuple[str, ...]:
        """The files that one of these is done to."""
        return tuple(step.name for step in self.steps if step.do in kinds)


def plan(site: Mapping[str, Local], there: Manifest, present: Collection[str] = ()) -> Plan:
    """What makes a target hold the site.

    `present` are files that were seen at the target, whoever put them there.
    """
    steps = [
        Step(CHANGE if name in there.names else SEND, name, local.size)
        for name, local in site.items()
        if there.files.get(name) != local.digest
    ]
    steps.sort(key=lambda step: _rank(step.name, step.name in there.names))
    gone = sorted(there.names - site.keys(), key=lambda name: (not name.endswith(_PAGE), name))
    taken = sorted(name for name in site if name in present and name not in there.names)
    return Plan((*steps, *(Step(REMOVE, name) for name in gone)), tuple(taken))


def folders_to_look_into(site: Mapping[str, Local], there: Manifest) -> tuple[str, ...]:
    """Where a file is to go that the target has not had from here; "" is the target itself."""
    return tuple(sorted({name.rpartition("/")[0] for name in site.keys() - there.names}))


def _rank(name: str, known: bool) -> tuple[int, int, bool, str]:
    """`known`: pages at the target may lead there already."""
    if name in ENTRANCES:
        return 3, ENTRANCES.index(name), False, name
    if name.startswith(_HASHED):
        return 0, 0, False, name
    return (2 if known else 1), 0, name.endswith(_PAGE), name
