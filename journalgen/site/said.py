"""What sessions say in plain text, for those who search and for other programs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct, field

from journalgen.markup import plain_text
from journalgen.plain_data import digest
from journalgen.records import Session


class Said(Struct):
    """The plain text of bodies, each by a digest of its Markdown, so that one that did not change is not parsed."""

    texts: dict[bytes, str] = field(default_factory=dict)
    changed: bool = False  # since it was kept

    def of(self, sessions: Iterable[Session]) -> dict[str, str]:
        """By page. What none of these sessions says is forgotten."""
        before, now = self.texts, {}
        pages = {}
        for session in sessions:
            mark = digest(session.body.encode("utf-8", "surrogatepass"))
            text = before.get(mark)
            now[mark] = pages[session.page] = plain_text(session.body) if text is None else text
        self.changed = self.changed or now.keys() != before.keys()
        self.texts = now
        return pages


def said_in_public(sessions: Iterable[Session], said: Mapping[str, str]) -> dict[str, str]:
    """The same for the sessions of the public edition: without the words for photographs that it does not have."""
    sessions = tuple(sessions)
    photos = frozenset(photo.file for session in sessions for photo in session.photos)
    return {
        session.page: plain_text(session.body, photos) if _shows_photographs(session) else said[session.page]
        for session in sessions
    }


def _shows_photographs(session: Session) -> bool:
    return any(reference.kind == "photo" for reference in session.references)
