"""The newest sessions as an Atom feed (RFC 4287), with addresses that stay the same when titles do not."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import UTC, date, datetime, time, timedelta
from gettext import NullTranslations
from hashlib import sha256
from typing import Final
from urllib.parse import quote, urlsplit
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from msgspec import Struct

from journalgen.records import Session, Settings
from journalgen.site.feed_bodies import FeedBodies
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.matter import Matter
from journalgen.site.sitemap import as_document, ascii_host, page_address
from journalgen.site.words import Words

FEED: Final = "feed.atom"
NEWEST: Final = 30
"""Sessions in the feed."""

_ATOM: Final = "http://www.w3.org/2005/Atom"
"""A name that the standard gives; nothing is asked of that place."""

_HTML: Final = "text/html"
_NOON: Final = time(12)
_ID_LENGTH: Final = 20
_NOT_XML: Final = "[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
"""XML 1.0, production 2. It takes milliseconds to compile, which a run without a feed to write is spared."""

_AUTHORITY: Final = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?")  # RFC 4151, DNSname


class _Namer(Struct, frozen=True):
    """Makes the feed's addresses and identifiers."""

    settings: Settings
    home: str | None  # where the edition lives
    began: date  # the day of the first session

    def address(self, name: str) -> str:
        """Of a file of the site: full where the journal says where it lives, else as seen from the feed."""
        return page_address(self.home, name) if self.home else quote(name)

    def feed_id(self) -> str:
        return self._tag(self.began, "") or self._uuid("")

    def entry_id(self, session: Session) -> str:
        """By the entry's file, since the page's name changes with the title.

        Only its digest is shown: a file's name may say what its page does not.
        """
        name = sha256(session.place.file.encode("utf-8", "backslashreplace")).hexdigest()[:_ID_LENGTH]
        return self._tag(session.day, name) or self._uuid(f"{session.day} {name}")

    def _tag(self, day: date, name: str) -> str | None:
        """A tag URI (RFC 4151) below the journal's address; None where there is none, or its host is no name."""
        place = urlsplit(self.home or "")
        host = ascii_host(place.hostname or "")
        if not _AUTHORITY.fullmatch(host):
            return None
        folder = quote(place.path.strip("/"), safe="/%")
        return f"tag:{host},{day}:" + "/".join(word for word in ("journal", folder, name) if word)

    def _uuid(self, name: str) -> str:
        machine = self.settings.machine
        whole = (self.settings.title, machine.identity_number or "", name)
        return uuid5(NAMESPACE_URL, "\n".join(whole).encode("utf-8", "backslashreplace").decode("utf-8")).urn


def render_feed(matter: Matter, words: Words | None = None, index: Index | None = None) -> bytes:
    """`feed.atom`: the newest sessions, newest first, each with its whole body and its photographs.

    `words` is the language of what the program itself says, `index` that of the matter. Without an address the
    links to pages are relative, those within bodies are only their text, and pictures are told in words. The
    owner's edition has no address.
    """
    settings, figures, index = matter.journal.settings, matter.figures, index or Index(matter)
    home = None if matter.owner else settings.address  # that is where the public edition lives
    newest = figures.newest(NEWEST)
    namer = _Namer(settings, home, figures.first_day or figures.on)
    ends = {
        session.page: end_of(session, index.sessions[session.page].minutes if session.start else 0, settings.time_zone)
        for session in newest
    }
    updated = max(ends.values(), default=_at(figures.on, _NOON, settings.time_zone))
    root = _head(namer, updated)
    formats = Formats(settings, words or NullTranslations())
    bodies = FeedBodies(matter, index, formats, namer.address if home else None)
    for session in newest:
        page = matter.session_page(session.page)
        root.append(_entry(session, namer, page, ends[session.page], bodies.content(session)))
    return as_document(root)


def end_of(session: Session, minutes: int, zone: ZoneInfo) -> datetime:
    """When a session ended, in the journal's time: its start and minutes; noon where no start is known."""
    if session.start is None:
        return _at(session.day, _NOON, zone)
    return _at(session.day, session.start, zone, minutes)


def _at(day: date, clock: time, zone: ZoneInfo, minutes: int = 0) -> datetime:
    """So many minutes after a time of day; by way of UTC, since a clock may be put forward or back between."""
    try:
        ended = (datetime.combine(day, clock, zone).astimezone(UTC) + timedelta(minutes=minutes)).astimezone(zone)
    except OverflowError:  # the first or last day that a calendar of four figures has
        return datetime.combine(day, _NOON, UTC)
    # Before zones were agreed on, offsets had odd seconds, which RFC 3339 cannot write.
    odd = (ended.utcoffset() or timedelta()) % timedelta(minutes=1)
    return ended.astimezone(UTC) if odd else ended


def _head(namer: _Namer, updated: datetime) -> ET.Element:
    settings = namer.settings
    root = ET.Element("feed", {"xmlns": _ATOM, "xml:lang": settings.language})
    _add(root, "id", namer.feed_id())
    _add(root, "title", settings.title)
    if settings.machine.name:
        _add(root, "subtitle", " ".join(word for word in (settings.machine.name, settings.machine.year) if word))
    _add(root, "updated", updated.isoformat())
    # The standard asks for an author; the journal stands for the person, who may not wish to be named.
    _add(ET.SubElement(root, "author"), "name", settings.title)
    ET.SubElement(root, "link", {"rel": "alternate", "type": _HTML, "href": namer.address("index.html")})
    if namer.home:
        ET.SubElement(root, "link", {"rel": "self", "type": "application/atom+xml", "href": namer.address(FEED)})
    _add(root, "generator", "journalgen")
    return root


def _entry(session: Session, namer: _Namer, page: str, updated: datetime, content: str) -> ET.Element:
    entry = ET.Element("entry")
    _add(entry, "id", namer.entry_id(session))
    _add(entry, "title", session.title)
    _add(entry, "updated", updated.isoformat())
    ET.SubElement(entry, "link", {"rel": "alternate", "type": _HTML, "href": namer.address(page)})
    _add(entry, "content", content).set("type", "html")
    return entry


def _add(above: ET.Element, name: str, text: str) -> ET.Element:
    """An element with a text, without the characters that XML 1.0 forbids."""
    element = ET.SubElement(above, name)
    element.text = re.sub(_NOT_XML, "", text)
    return element
