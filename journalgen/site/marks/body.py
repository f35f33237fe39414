"""A session's body as HTML, with its cross-references and the elements it places."""

from __future__ import annotations

from markupsafe import Markup
from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.records import Block, Session
from journalgen.site.desk import Desk
from journalgen.site.markdown import render_body
from journalgen.site.marks.measure import list_measures
from journalgen.site.marks.pair import show_pair
from journalgen.site.marks.photograph import Reachable, show
from journalgen.site.placing import Placing
from journalgen.values import Place


class Body(Struct, frozen=True):
    """The body's HTML with what it shows by itself, which the page need not show again."""

    html: Markup
    photos: frozenset[str]  # files, relative to photos/
    measures: frozenset[Place]
    reachable: Reachable  # for the photographs that follow it on the page


def write_body(desk: Desk, session: Session) -> Body:
    """Renders the body of one session."""
    placer = _Placer(desk, Placing(desk.index, session), Reachable(desk, session))
    table_label = desk.words.gettext("Table")
    said = replace(session, body=desk.body(session))
    html = render_body(said, placer.link, placer.block, placer.picture, table_label=table_label)
    shown = Markup(html)  # noqa: S704 - escaped there
    return Body(shown, frozenset(placer.photos), frozenset(placer.measures), placer.reachable)


class _Placer(Struct):
    """Answers what a body asks for while it is rendered, and remembers what it was given.

    What an edition does not have leaves no trace in it: where the owner is shown the fence or the
    gap, others are shown nothing, since even a file name may tell what is private.
    """

    desk: Desk
    placing: Placing
    reachable: Reachable
    photos: set[str] = field(default_factory=set)
    measures: set[Place] = field(default_factory=set)

    def link(self, kind: str, target: str) -> str | None:
        """The address of a part or session that a reference names."""
        page = self.placing.page(kind, target)
        return self.desk.root + page if page else None

    def picture(self, file: str) -> str | None:
        """A photograph in the running text."""
        shot = self.placing.shot(file)
        if shot is None:
            return None if self.desk.matter.owner else ""
        self.photos.add(file)
        return self.desk.templates.macro("marks.html", "figure", self.reachable.mark(show(self.desk, shot), shot))

    def block(self, block: Block) -> str | None:
        """The element of a fence."""
        made = {"pair": self._pair, "photos": self._photos, "measure": self._measures}[block.kind](block)
        if made is not None or self.desk.matter.owner:
            return made
        return "" if block.pair or block.files or block.measures else None

    def _pair(self, block: Block) -> str | None:
        pair = self.placing.pair(block.pair) if block.pair else None
        if pair is None:
            return None
        self.photos |= {pair.before.photo.file, pair.after.photo.file}
        view = show_pair(self.desk, pair)
        before = self.reachable.mark(view.before, pair.before)
        view = replace(view, before=before, after=self.reachable.mark(view.after, pair.after))
        return self.desk.templates.macro("marks.html", "pair", view, level=3)

    def _photos(self, block: Block) -> str | None:
        shots = self.placing.shots(block)
        if not shots:
            return None
        self.photos |= {shot.photo.file for shot in shots}
        return self.desk.templates.macro("marks.html", "photographs", self.reachable.show_all(shots))

    def _measures(self, block: Block) -> str | None:
        rows = self.placing.measures(block)
        if not rows:
            return None
        self.measures |= {measure.place for _, measure in rows}
        listed = list_measures(self.desk, rows)
        return self.desk.templates.macro("tables.html", "measures", listed, self.desk._("Measures"))
