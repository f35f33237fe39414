"""A session's body for a feed: whole, with its photographs, in markup that any reader shows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.ledgers.measures import verdict
from journalgen.ledgers.pairs import Shot
from journalgen.ledgers.part_records import worked_on
from journalgen.pictures.model import Picture
from journalgen.records import Block, Measure, Session
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.markdown import render_for_feed
from journalgen.site.matter import Matter
from journalgen.site.placing import Placing

Address = Callable[[str], str]
"""The full address of a file of the site."""


class FeedBodies(Struct, frozen=True):
    """Writes bodies; without `address` nothing in them leads to the site."""

    matter: Matter
    index: Index
    formats: Formats
    address: Address | None

    def content(self, session: Session) -> str:
        """The body, then the photographs that it does not place; without words, the parts it was about."""
        own, body = _Body(self, Placing(self.index, session)), self.index.bodies[session.page]
        if body.strip():
            html = render_for_feed(replace(session, body=body), own.link, own.block, own.picture)
        else:
            html = f"<p>{escape(', '.join(worked_on(session)) or session.title)}</p>"
        rest = [Shot(session, photo) for photo in session.photos if photo.file not in own.shown]
        return html + own.figures(rest)


class _Body(Struct):
    """Answers what one body asks for, and remembers which photographs it has shown."""

    bodies: FeedBodies
    placing: Placing
    shown: set[str] = field(default_factory=set)

    def link(self, kind: str, target: str) -> str | None:
        page = self.placing.page(kind, target)
        return self.bodies.address(page) if page and self.bodies.address else None

    def picture(self, file: str) -> str | None:
        """A photograph in the running text; nothing of one that the edition does not have, not even its words."""
        shot = self.placing.shot(file)
        if shot is None:
            return None if self.bodies.matter.owner else ""
        return self.figures([shot]) or None

    def block(self, block: Block) -> str | None:
        pair = self.placing.pair(block.pair) if block.pair else None
        shots = [pair.before, pair.after] if pair else self.placing.shots(block)
        return self.figures(shots) + "".join(map(self._measure, self._measures(block)))

    def figures(self, shots: Iterable[Shot]) -> str:
        """Photographs with their captions; empty where there is no picture or nowhere to fetch it from."""
        return "".join(filter(None, map(self._figure, shots)))

    def _figure(self, shot: Shot) -> str | None:
        found = self.bodies.matter.pictures.get(shot.photo.file)
        if self.bodies.address is None or not isinstance(found, Picture):
            return None
        self.shown.add(shot.photo.file)
        middling = found.variants[len(found.variants) // 2]
        day = self.bodies.formats.long(shot.session.day)
        said = f"{shot.photo.caption.rstrip('.')}, {day}" if shot.photo.caption else day
        address, alt = self.bodies.address(f"pictures/{middling.jpeg}"), shot.photo.caption or said
        return (
            f'<figure><img src="{escape(address)}" width="{middling.width}" height="{middling.height}" '
            f'alt="{escape(alt)}"><figcaption>{escape(said)}</figcaption></figure>\n'
        )

    def _measures(self, block: Block) -> list[Measure]:
        return [measure for _, measure in self.placing.measures(block)]

    def _measure(self, measure: Measure) -> str:
        formats = self.bodies.formats
        found = verdict(measure)
        value = formats.measured(measure)
        limits = f" ({formats.limits(measure.limits)})" if measure.limits else ""
        said = f": {formats.term(found)}" if found else ""
        return f"<p>{escape(f'{measure.what}, {value}{limits}{said}')}</p>\n"
