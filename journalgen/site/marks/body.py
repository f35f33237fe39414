"""A session's body as HTML, with its cross-references and the elements it places."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from markupsafe import Markup

from journalgen.ledgers.pairs import Pair, Shot
from journalgen.records import Block, Measure, PairChoice, Session
from journalgen.site.desk import Desk
from journalgen.site.markdown import render_body
from journalgen.site.marks.measure import list_measures
from journalgen.site.marks.pair import show_pair
from journalgen.site.marks.photograph import show, show_all
from journalgen.slugs import key
from journalgen.values import Place


@dataclass(frozen=True, slots=True)
class Body:
    """The body's HTML with what it shows by itself, which the page need not show again."""

    html: Markup
    photos: frozenset[str]  # files, relative to photos/
    measures: frozenset[Place]


def write_body(desk: Desk, session: Session) -> Body:
    """Renders the body of one session."""
    placer = _Placer(desk, session)
    table_label = desk.words.gettext("Table")
    html = render_body(session, placer.link, placer.block, placer.picture, table_label=table_label)
    return Body(Markup(html), frozenset(placer.photos), frozenset(placer.measures))  # noqa: S704 - escaped there


@dataclass(slots=True)
class _Placer:
    """Answers what a body asks for while it is rendered, and remembers what it was given.

    What an edition does not have leaves no trace in it: where the owner is shown the fence or the
    gap, others are shown nothing, since even a file name may tell what is private.
    """

    desk: Desk
    session: Session
    photos: set[str] = field(default_factory=set)
    measures: set[Place] = field(default_factory=set)

    def link(self, kind: str, target: str) -> str | None:
        """The address of a part or session that a reference names."""
        if kind == "part":
            name = self.desk.index.part_names.get(key(target))
            return self.desk.part(name).href if name else None
        page = self.desk.index.session_pages.get(target)
        return self.desk.root + self.desk.matter.session_page(page) if page else None

    def picture(self, file: str) -> str | None:
        """A photograph in the running text."""
        shot = self._shot(file)
        if shot is None:
            return None if self.desk.matter.owner else ""
        self.photos.add(file)
        return self.desk.templates.mark("marks.html", "figure", show(self.desk, shot))

    def block(self, block: Block) -> str | None:
        """The element of a fence."""
        made = {"pair": self._pair, "photos": self._photos, "measure": self._measures}[block.kind](block)
        if made is not None or self.desk.matter.owner:
            return made
        return "" if block.pair or block.files or block.measures else None

    def _shot(self, file: str | None) -> Shot | None:
        own = (Shot(self.session, photo) for photo in self.session.photos if photo.file == file)
        return next(own, None) or self.desk.index.shots.get(file or "")

    def _pair(self, block: Block) -> str | None:
        pair = self._choose(block.pair) if block.pair else None
        if pair is None:
            return None
        self.photos |= {pair.before.photo.file, pair.after.photo.file}
        return self.desk.templates.mark("marks.html", "pair", show_pair(self.desk, pair), level=3)

    def _choose(self, choice: PairChoice) -> Pair | None:
        known = self.desk.matter.figures.pairs.get(choice.part)
        before = self._shot(choice.before) or (known.before if known else None)
        after = self._shot(choice.after) or (known.after if known else None)
        if before is None or after is None:
            return None
        finished = after.photo.shows == "after" if choice.after or known is None else known.finished
        return Pair(choice.part, before, after, finished)

    def _photos(self, block: Block) -> str | None:
        shots = [shot for file in block.files if (shot := self._shot(file))]
        if not shots:
            return None
        self.photos |= {shot.photo.file for shot in shots}
        return self.desk.templates.mark("marks.html", "photographs", show_all(self.desk, shots))

    def _measures(self, block: Block) -> str | None:
        rows = [row for part, what in block.measures if (row := self._measure(part, what))]
        if not rows:
            return None
        self.measures |= {measure.place for _, measure in rows}
        listed = list_measures(self.desk, rows)
        return self.desk.templates.mark("tables.html", "measures", listed, self.desk._("Measures"))

    def _measure(self, part: str, what: str) -> tuple[Session, Measure] | None:
        """The measure of that name: this session's, else the latest."""
        own = _matching(part, what, [self.session])
        if own:
            return own[-1]
        earlier = self.desk.index.parts[part].measures if part in self.desk.index.parts else []
        found = [row for row in earlier if key(row[1].what) == key(what)]
        return found[-1] if found else None


def _matching(part: str, what: str, sessions: Iterable[Session]) -> list[tuple[Session, Measure]]:
    return [
        (session, measure)
        for session in sessions
        for measure in session.measures
        if key(measure.what) == key(what) and (not part or part in measure.parts)
    ]
