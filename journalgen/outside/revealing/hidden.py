"""What the journal keeps from strangers, as words that must not be found in what they are given."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Final

from msgspec import Struct

from journalgen.editions import NUMBERS, PRICES, STORAGE, SUPPLIERS, public_edition
from journalgen.outside.revealing.model import Hit
from journalgen.outside.revealing.patterns import find_money
from journalgen.records import Journal, Session
from journalgen.values import Money

_WORD: Final = re.compile(r"\w+")
_LEAST: Final = 12  # letters of a private text that cannot have come about by chance
_SMALL: Final = Decimal(10)  # whole amounts below are everywhere, and tell nothing


class Secret(Struct, frozen=True, order=True):
    """Words that strangers must not read."""

    kind: str
    text: str
    stops: bool  # False for a word so common that it may be meant otherwise


class Secrets(Struct, frozen=True):
    """All of them."""

    words: tuple[Secret, ...] = ()
    amounts: tuple[Money, ...] = ()
    prices_hidden: bool = False


def gather_secrets(journal: Journal) -> Secrets:
    """What the whole journal holds and the public edition must not."""
    hide, public = journal.settings.hide, public_edition(journal)
    found = {*_suppliers(journal, SUPPLIERS in hide), *_private(journal, public)}
    if STORAGE in hide:
        found |= {_told("hidden-storage", part.stored) for part in journal.parts.values() if part.stored}
    if NUMBERS in hide:
        numbers = [part.number for part in journal.parts.values()] + [journal.settings.machine.identity_number]
        found |= {Secret("hidden-number", number, True) for number in numbers if number and _is_telling(number)}
    shown = {_plain(name) for name in (*public.parts, *public.materials, journal.settings.title)}
    words = tuple(sorted(secret for secret in found if _plain(secret.text) not in shown))
    return Secrets(words, _amounts(journal) if PRICES in hide else (), PRICES in hide)


def _plain(text: str) -> str:
    return " ".join(_WORD.findall(text.casefold()))


def _is_telling(text: str) -> bool:
    """Whether it cannot well be another word of the language: several words, or one with a figure in it."""
    words = _WORD.findall(text)
    return len(words) > 1 or any(any(c.isdigit() for c in word) and len(word) > 3 for word in words)


def _told(kind: str, text: str) -> Secret:
    return Secret(kind, text, _is_telling(text))


def _suppliers(journal: Journal, all_of_them: bool) -> Iterator[Secret]:
    for name, row in journal.suppliers.items():
        if all_of_them or row.private:
            for text in (name, *row.also_called):
                yield Secret("hidden-supplier", text, _is_telling(text) or text[:1].isupper())
            if row.site:
                yield Secret("hidden-supplier", re.sub(r"^\w+://(www\.)?|/$", "", row.site), True)
    if all_of_them:
        parties = {purchase.party for session in journal.sessions for purchase in session.purchases}
        yield from (Secret("hidden-supplier", p, _is_telling(p) or p[:1].isupper()) for p in parties if p)


def _private(journal: Journal, public: Journal) -> Iterator[Secret]:
    """Private sessions and lines, as far as no public one says the same."""
    said = {_plain(text) for session in public.sessions for text in _texts_of(session)}
    pages = {session.page for session in public.sessions}
    for session in journal.sessions:
        if session.private and session.page not in pages:
            yield Secret("private-session", session.page, True)
        texts = [*_texts_of(session), *_sentences(session.body)] if session.private else _private_lines(session)
        for text in texts:
            if len(text) >= _LEAST and len(_WORD.findall(text)) > 1 and _plain(text) not in said:
                yield Secret("private-session" if session.private else "private-line", text, True)


def _texts_of(session: Session) -> Iterator[str]:
    yield session.title
    yield from _lines(session, only_private=False)


def _private_lines(session: Session) -> Iterator[str]:
    return _lines(session, only_private=True)


def _lines(session: Session, *, only_private: bool) -> Iterator[str]:
    texts = (
        *((line.private, text) for line in session.work for text in (line.note, line.result)),
        *((line.private, text) for line in session.purchases for text in (line.note, line.what)),
        *((line.private, line.note) for line in session.measures),
        *((line.private, line.why) for line in session.decisions),
        *((line.private, line.condition) for line in session.found),
        *((line.private, line.caption) for line in session.photos),
    )
    return (text for private, text in texts if text and (private or not only_private))


def _sentences(body: str) -> Iterator[str]:
    """The longer sentences of a body that are plain text."""
    for paragraph in re.split(r"\n\s*\n", body):
        for sentence in re.split(r"(?<=[.!?])\s+", " ".join(paragraph.split())):
            if len(sentence) >= 3 * _LEAST and not re.search(r"[*_`\[\]<>|#]", sentence):
                yield sentence


def _amounts(journal: Journal) -> tuple[Money, ...]:
    found = {
        money
        for session in journal.sessions
        for line in session.purchases
        for money in (line.price, line.postage, line.duty, line.tax, line.paid)
        if money and (money.amount >= _SMALL or money.amount != int(money.amount))
    }
    return tuple(sorted(found, key=lambda money: (money.currency, money.amount)))


class Search:
    """Looks for secrets in texts; of a thousand secrets only those are looked for whose words are all there."""

    def __init__(self, secrets: Secrets) -> None:
        self._amounts = {(money.amount, money.currency) for money in secrets.amounts}
        self._prices_hidden = secrets.prices_hidden
        self._by_word: dict[str, list[tuple[Secret, frozenset[str], re.Pattern[str]]]] = {}
        for secret in secrets.words:
            words = _WORD.findall(secret.text.casefold())
            if words:
                rarest = max(words, key=len)
                pattern = re.compile(rf"(?<!\w){_spaced(secret.text)}(?!\w)", re.I)
                self._by_word.setdefault(rarest, []).append((secret, frozenset(words), pattern))

    def find(self, text: str, *, amounts: bool = True) -> Iterator[Hit]:
        """What of them stands in a text; `amounts` of money where the text is one that was written by a person."""
        words = set(_WORD.findall(text.casefold()))
        for rarest in self._by_word.keys() & words:
            for secret, needed, pattern in self._by_word[rarest]:
                if needed <= words and pattern.search(text):
                    yield Hit(secret.kind, secret.text, secret.stops)
        if self._prices_hidden and amounts:
            yield from self._find_amounts(text)

    def _find_amounts(self, text: str) -> Iterator[Hit]:
        for written, money in find_money(text):
            known = (money.amount, money.currency) in self._amounts
            yield Hit("hidden-price" if known else "price", written, known)


def _spaced(text: str) -> str:
    return r"\s+".join(map(re.escape, text.split()))


def spell(secrets: Secrets) -> Iterable[str]:
    """Every secret in a row, by which two sets of them can be told apart."""
    yield from (f"{secret.kind} {secret.stops} {secret.text}" for secret in secrets.words)
    yield from (f"{money.amount} {money.currency}" for money in secrets.amounts)
    yield str(secrets.prices_hidden)
