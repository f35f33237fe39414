"""What is to be done at a target, and in which order, from what the site holds and what the target has of it.

The order is what keeps a target's links whole when it breaks off anywhere. First comes what is new, to which
nothing at the target leads yet: pictures, whose names tell what they hold, then the rest. Then everything that
a new page leads to is there, and what has changed may be replaced, file by file; the entrances come last. Only
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
PHASES: Final = (SEND, CHANGE, REMOVE)
"""In their order; the manifest is brought up to date before each."""

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
    local: Local | None = None  # None where it is removed

    @property
    def size(self) -> int:
        """Bytes to be sent."""
        return self.local.size if self.local else 0


class Plan(Struct, frozen=True):
    """All that is to be done, in order."""

    steps: tuple[Step, ...] = ()
    taken: tuple[str, ...] = ()  # names that a file of somebody else has at the target

    @property
    def size(self) -> int:
        """Bytes to be sent."""
        return sum(step.size for step in self.steps)

    @property
    def pictures(self) -> int:
        """How many pictures are to be sent that the target has not."""
        return len({_picture(step.name) for step in self.phase(SEND) if step.name.startswith(_HASHED)})

    def phase(self, do: str) -> tuple[Step, ...]:
        """The steps that do one of the three."""
        return tuple(step for step in self.steps if step.do == do)


def _picture(name: str) -> str:
    """What the sizes and formats of one picture have in common."""
    return name.rpartition("-")[0] or name


def plan(site: Mapping[str, Local], there: Manifest, present: Collection[str] = ()) -> Plan:
    """What makes a target hold the site.

    `present` are files that were seen at the target, whoever put them there.
    """
    steps = [
        Step(CHANGE if name in there.linked else SEND, name, local)
        for name, local in site.items()
        if there.files.get(name) != local.digest
    ]
    gone = [Step(REMOVE, name) for name in there.names - site.keys()]
    taken = sorted(name for name in site if name in present and name not in there.names)
    return Plan((*sorted(steps, key=_rank), *sorted(gone, key=_rank_of_removal)), tuple(taken))


def _rank(step: Step) -> tuple[int, int, bool, str]:
    name = step.name
    entrance = ENTRANCES.index(name) + 1 if name in ENTRANCES else 0
    return PHASES.index(step.do), entrance, not name.startswith(_HASHED), f"{int(name.endswith(_PAGE))}{name}"


def _rank_of_removal(step: Step) -> tuple[bool, bool, str]:
    """Who leads to others goes first, so that nothing is left whose pictures are gone."""
    return step.name not in ENTRANCES, not step.name.endswith(_PAGE), step.name


def before_phase(there: Manifest, steps: Collection[Step]) -> Manifest:
    """The manifest to be kept at the target before any of the steps of one phase is done."""
    names = {step.name for step in steps}
    changing = {step.name for step in steps if step.do == CHANGE}
    return Manifest(
        {name: digest for name, digest in there.files.items() if name not in names},
        (there.changing - names) | changing,
        (there.unlinked - names) | (names - changing),
    )


def after_steps(there: Manifest, steps: Collection[Step]) -> Manifest:
    """The manifest once some of the steps that were announced by `before_phase` are done."""
    names = {step.name for step in steps}
    sent = {step.name: step.local.digest for step in steps if step.local}
    return Manifest(there.files | sent, there.changing - names, there.unlinked - names)


def folders_to_look_into(site: Mapping[str, Local], there: Manifest) -> tuple[str, ...]:
    """Where a file is to go that the target has not had from here; "" is the target itself."""
    return tuple(sorted({name.rpartition("/")[0] for name in site.keys() - there.names}))
