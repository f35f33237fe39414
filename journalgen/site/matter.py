"""What the pages of one edition are made of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from msgspec import Struct, field

from journalgen.ledgers.cautions import Lore
from journalgen.ledgers.figures import Figures
from journalgen.pictures.model import Fault, Picture
from journalgen.problems import Problem
from journalgen.records import Journal
from journalgen.slugs import slugs

PUBLIC: Final = "public"
OWNER: Final = "owner"


class Matter(Struct, frozen=True):
    """One edition's journal with its figures and pictures.

    The journal is already without what the edition does not show: pages need not hide anything,
    but they leave out a table or page whose whole kind of fact is hidden.
    """

    edition: str  # public or owner
    journal: Journal
    figures: Figures
    pictures: Mapping[str, Picture | Fault]  # by Photo.file
    hidden: frozenset[str] = frozenset()  # prices, suppliers, storage, numbers, hours
    problems: tuple[Problem, ...] = ()  # for the banner, owner edition only
    left_out: tuple[str, ...] = ()  # entries left out because of errors, owner edition only
    part_slugs: Mapping[str, str] = field(default_factory=dict)
    material_slugs: Mapping[str, str] = field(default_factory=dict)
    step_slugs: Mapping[str, str] = field(default_factory=dict)
    lore: Lore | None = None  # what cautions are made from; none are shown without it
    said: Mapping[str, str] = field(default_factory=dict)  # the plain text of each session, by its page

    @property
    def owner(self) -> bool:
        return self.edition == OWNER

    def part_page(self, part: str) -> str | None:
        """The address of a part's page from the site's root; None for what is no part."""
        found = self.part_slugs.get(part)
        return f"parts/{found}.html" if found else None

    def material_page(self, material: str) -> str | None:
        """The address of a material's page from the site's root; None for what the edition does not have."""
        found = self.material_slugs.get(material) if material in self.journal.materials else None
        return f"materials/{found}.html" if found else None

    def step_page(self, step: str) -> str | None:
        """The address of a step's page from the site's root; whether the step was done is not asked."""
        found = self.step_slugs.get(step)
        return f"steps/{found}.html" if found else None

    @staticmethod
    def session_page(page: str) -> str:
        """The address of a session's page from the site's root."""
        return f"sessions/{page}.html"


def part_slugs(journal: Journal) -> dict[str, str]:
    """Every part's slug. The whole journal decides, so that both editions use the same addresses."""
    return slugs(journal.parts)


def material_slugs(journal: Journal) -> dict[str, str]:
    """Every material's slug, by the same rule."""
    return slugs(journal.materials)


def step_slugs(journal: Journal) -> dict[str, str]:
    """Every step's slug, by the same rule: those of the trade and the register, then those only entries name.

    What public lines name comes first: the `-2` of a public page must not tell of a private one.
    """
    lines = [(session.private or line.private, line.step) for session in journal.sessions for line in session.work]
    named = (step for private in (False, True) for hidden, step in lines if step and hidden is private)
    return slugs(dict.fromkeys((*journal.steps, *named)))
