"""The interface's own words: how they are marked for translation, and how fixed terms are said."""

from __future__ import annotations

from typing import Final, Protocol

from journalgen.ledgers import forecast
from journalgen.ledgers.measures import NOT_PROVEN, OUTSIDE, WITHIN
from journalgen.records import GENERAL, NO_ASSEMBLY, UNSPECIFIED


class Words(Protocol):
    """A catalogue of the interface's words; what `gettext.NullTranslations` offers."""

    def gettext(self, message: str, /) -> str: ...

    def ngettext(self, one: str, many: str, n: int, /) -> str: ...


def mark(text: str) -> str:
    """Marks a text for the catalogue where it stands; it is translated where it is shown."""
    return text


DECISIONS: Final = (mark("reuse"), mark("repair"), mark("replace"), mark("make"))
"""In the order in which a tag lists them."""

TERMS: Final = frozenset({
    # states
    mark("as found"), mark("in work"), mark("waiting"), mark("ready to fit"), mark("fitted"),
    # kinds of purchase
    mark("part"), mark("reproduction"), mark("used spare"), mark("material"), mark("tool"), mark("outside work"),
    mark("document"), mark("refund"), mark("sale"),
    # severities
    mark("light"), mark("moderate"), mark("bad"), mark("unsafe"),
    # origins
    mark("original kept"), mark("original repaired"), mark("made"), mark("not known"),
    # signal words
    mark("danger"), mark("warning"),
    # what a photograph shows
    mark("before"), mark("during"), mark("after"),
    # origins
    mark("original kept"), mark("original repaired"), mark("made"), mark("not known"),
    *DECISIONS, WITHIN, OUTSIDE, NOT_PROVEN, GENERAL, UNSPECIFIED, NO_ASSEMBLY,
})  # fmt: skip
"""Fixed terms of records and ledgers, which pages say in their own language."""


SENTENCES: Final = frozenset({
    forecast.NO_ROUTE, forecast.NONE_LEFT, forecast.NOT_KNOWN, forecast.TOO_SHORT, forecast.NO_HOURS, forecast.TOO_LONG,
})  # fmt: skip
"""Sentences that ledgers give, which pages say in their own language."""


def term(text: str, words: Words) -> str:
    """A fixed term in the page's language; a word of the journal's own stays as it was written."""
    return words.gettext(text) if text in TERMS else text
