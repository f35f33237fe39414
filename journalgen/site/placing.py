"""What the elements that a body places stand for: which photographs, which pair, which measures."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from journalgen.ledgers.pairs import Pair, Shot
from journalgen.records import Block, Measure, PairChoice, Session
from journalgen.site.index import Index
from journalgen.slugs import key


class Placing(Struct, frozen=True):
    """Finds what one session's body names; what the edition does not have is not found."""

    index: Index
    session: Session

    def shot(self, file: str | None) -> Shot | None:
        """A photograph: as this session shows it, else as the first that does."""
        own = (Shot(self.session, photo) for photo in self.session.photos if photo.file == file)
        return next(own, None) or self.index.shots.get(file or "")

    def shots(self, block: Block) -> list[Shot]:
        """The photographs of a `photos` block."""
        return [shot for file in block.files if (shot := self.shot(file))]

    def pair(self, choice: PairChoice) -> Pair | None:
        """The pair of a `pair` block: the part's own, with the photographs that the block chose."""
        known = self.index.pairs.get(choice.part)
        before = self.shot(choice.before) or (known.before if known else None)
        after = self.shot(choice.after) or (known.after if known else None)
        if before is None or after is None:
            return None
        finished = after.photo.shows == "after" if choice.after or known is None else known.finished
        return Pair(choice.part, before, after, finished)

    def measures(self, block: Block) -> list[tuple[Session, Measure]]:
        """The measures of a `measure` block, each as this session took it, else as it was last taken."""
        return [row for part, what in block.measures if (row := self._measure(part, what))]

    def page(self, kind: str, target: str) -> str | None:
        """The file of the site that a reference names, from its root."""
        matter = self.index.matter
        if kind == "part":
            name = self.index.part_names.get(key(target))
            return matter.part_page(name) if name else None
        page = self.index.session_pages.get(target)
        return matter.session_page(page) if page else None

    def _measure(self, part: str, what: str) -> tuple[Session, Measure] | None:
        own = _matching(part, what, [self.session])
        if own:
            return own[-1]
        earlier = self.index.parts[part].measures if part in self.index.parts else []
        found = [row for row in earlier if key(row[1].what) == key(what)]
        return found[-1] if found else None


def _matching(part: str, what: str, sessions: Iterable[Session]) -> list[tuple[Session, Measure]]:
    return [
        (session, measure)
        for session in sessions
        for measure in session.measures
        if key(measure.what) == key(what) and (not part or part in measure.parts)
    ]
