"""What every page is written from: one edition's matter, its formats, and addresses as seen from the page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from msgspec import Struct
from msgspec.structs import replace

from journalgen.pictures.model import Picture
from journalgen.records import NO_ASSEMBLY, UNSPECIFIED, Session
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.matter import PUBLIC, Matter
from journalgen.site.sitemap import page_address
from journalgen.site.templates import Templates
from journalgen.site.words import Words, term
from journalgen.values import Body


class Link(Struct, frozen=True):
    """A name with the address of its page, if it has one."""

    text: str
    href: str | None = None
    private: bool = False


class Teller(Struct, frozen=True, dict=True):
    """One edition, told in the journal's language, on whatever it is read."""

    matter: Matter
    words: Words
    formats: Formats
    index: Index

    @property
    def _(self) -> Callable[[str], str]:
        return self.words.gettext

    def term(self, text: str) -> str:
        """A fixed term in the page's language."""
        return term(text, self.words)

    @property
    def home_currency(self) -> str:
        return self.matter.journal.settings.home_currency

    @property
    def shows_money(self) -> bool:
        return "prices" not in self.matter.hidden

    @property
    def shows_hours(self) -> bool:
        return "hours" not in self.matter.hidden

    def step(self, key: str | None) -> str:
        """A step by its label; a step the journal does not know stays as it was written."""
        found = self.matter.journal.steps.get(key) if key else None
        if found is None:
            return self.term(key or "")
        return found.label if found.place else self._(found.label)  # a journal's own label stays as it was written

    def has_picture(self, file: str) -> bool:
        """Whether there is a picture of a photograph, rather than a gap."""
        return isinstance(self.matter.pictures.get(file), Picture)

    def assembly_name(self, name: str) -> str:
        """An assembly by name; of the parts without one it is said so."""
        return self._("in no assembly") if name == NO_ASSEMBLY else self.term(name)


class Desk(Teller, frozen=True, dict=True):
    """One edition, as a page at a given depth sees it."""

    templates: Templates
    root: str = ""  # leads from the page to the site's root: "" or "../"

    def below(self) -> Desk:
        """The same desk for a page in a folder of the site."""
        return replace(self, root="../")

    def absolute(self, file: str) -> str | None:
        """The full address of a file of the public edition; None where the journal does not say where that lives."""
        base = self.matter.journal.settings.address
        return page_address(base, file) if base and self.matter.edition == PUBLIC else None

    def local(self, moment: datetime) -> datetime:
        """A moment on the clock of the journal's zone."""
        return moment.astimezone(self.matter.journal.settings.time_zone)

    def body(self, session: Session) -> Body:
        """What a session says. Pages ask here, and not the session, so that one that says something new is noticed."""
        return self.index.bodies.get(session.page, session.body)

    def moment(self, moment: datetime) -> str:
        """A moment in the journal's zone: the day and the time."""
        local = self.local(moment)
        return f"{self.formats.short(local.date())}, {self.formats.clock(local.time())}"

    def part(self, name: str, private: bool = False) -> Link:
        """A part by name, linked to its page; what is no part is a term."""
        page = self.matter.part_page(name) if name in self.matter.journal.parts else None
        return Link(self.term(name), self.root + page if page else None, private)

    def session(self, session: Session) -> Link:
        """A session by its title."""
        return Link(session.title, self.root + self.matter.session_page(session.page), session.private)

    def material(self, name: str) -> Link:
        """A material, linked to its page."""
        page = self.matter.material_page(name)
        return Link(name, self.root + page if page else None)

    def assembly(self, name: str) -> Link:
        """An assembly, linked to its tags."""
        found = self.index.assembly_ids.get(name)
        return Link(self.assembly_name(name), f"{self.root}parts.html#{found}" if found else None)

    def party(self, name: str | None) -> Link | None:
        """A supplier by name, linked to what came from it, with the mark of a private one; a buyer is only a name."""
        if not name:
            return None
        found, place = self.matter.journal.suppliers.get(name), self.index.source_ids.get(name)
        return Link(name, f"{self.root}sources.html#{place}" if place else None, bool(found and found.private))

    def step_link(self, key: str | None, text: str | None = None) -> Link:
        """A step by its label, linked to its page where it was done."""
        page = self.matter.step_page(key) if key and key in self.index.done_steps else None
        return Link(text or self.step(key or UNSPECIFIED), self.root + page if page else None)
