"""How a person is asked: line by line, each answer checked at once and asked for again with the remedy."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from typing import Final, Protocol, TypeVar

from msgspec import Struct

from journalgen.columns import wrap
from journalgen.reading.unreadable import Unreadable
from journalgen.terminal import WIDTH, plain, safe, say

Value = TypeVar("Value")
State = TypeVar("State")
BACK: Final = "<"
"""The answer that leads back to the question before."""

_NO_TEXT: Final = "\ud800"
"""Stands for bytes that are not text; no reader takes it for one."""


class Back(Exception):
    """The question before is to be asked again."""


class Offer(Struct, frozen=True):
    """A name that can be completed, with a word or two about it."""

    name: str
    about: str = ""


class Asker(Protocol):
    """One way of asking. Raises KeyboardInterrupt for Ctrl-C, and EOFError for Ctrl-D or an input that ended."""

    to_keep: str
    """How an answer that was doubted is kept."""

    def line(self, question: str, offers: Sequence[Offer] = (), start: str = "") -> str:
        """The answer to a question. `offers` complete its pieces between commas; `start` stands there to be mended."""

    def tell(self, text: str = "") -> None:
        """Something to know before the next answer."""


def on_terminal() -> bool:
    """Whether someone sits there who can be asked: results may still go elsewhere."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def find_asker() -> Asker:
    """Completion from the register where the terminal can show it; plain lines where it cannot, or must not."""
    if plain() or os.environ.get("TERM", "") in ("dumb", "unknown"):
        return PlainAsker()
    from journalgen.asking.completing import CompletingAsker

    return CompletingAsker()


class PlainAsker:
    """Plain lines: for screen readers, and for terminals that can do no more."""

    to_keep = "To keep it, give the same again."

    def line(self, question: str, offers: Sequence[Offer] = (), start: str = "") -> str:
        sys.stderr.write(safe(question))
        sys.stderr.flush()
        answer = ""
        try:
            answer = sys.stdin.readline()
        except UnicodeDecodeError:
            return _NO_TEXT
        finally:
            if not answer.endswith("\n"):  # what is said next begins a line
                sys.stderr.write("\n")
        if not answer:
            raise EOFError
        return answer.rstrip("\r\n")

    def tell(self, text: str = "") -> None:
        say(text)


def ask(
    asker: Asker,
    question: str,
    read: Callable[[str], Value],
    empty: Value,
    *,
    offers: Sequence[Offer] = (),
    doubt: Callable[[Value], str | None] = lambda value: None,
) -> Value:
    """The value of an answer; `empty` for none.

    What cannot be read is asked for again. What can, but is doubted, is asked for again too, and kept
    if the answer stays the same: only the person knows. Raises Back for the answer that says so.
    """
    doubted = start = ""
    while True:
        answer = asker.line(question, offers, start)
        if not answer.strip():
            return empty
        if answer.strip() == BACK:
            raise Back
        start = answer
        try:
            value = read(answer)
        except Unreadable as fault:
            _tell(asker, f"{fault.message} {fault.remedy}")
            continue
        said = doubt(value)
        if said is None or answer.split() == doubted.split():
            return value
        _tell(asker, f"{said} {asker.to_keep}")
        doubted = answer


def go_through(asker: Asker, state: State, questions: Sequence[Callable[[Asker, State], State]]) -> State:
    """What all questions make of a state, one after the other; each gives the state with its answer.

    `<` leads back to the last one that asked anything, and to what was known then.
    """
    asked: list[tuple[int, State]] = []
    at = 0
    while at < len(questions):
        heard = _Heard(asker)
        try:
            now = questions[at](heard, state)
        except Back:
            if asked:
                at, state = asked.pop()
            else:
                _tell(asker, "This is the first question.")
            continue
        if heard.anything:
            asked.append((at, state))
        at, state = at + 1, now
    return state


class _Heard:
    """An asker of whom it is known whether anything was asked."""

    def __init__(self, asker: Asker) -> None:
        self._asker = asker
        self.to_keep = asker.to_keep
        self.anything = False

    def line(self, question: str, offers: Sequence[Offer] = (), start: str = "") -> str:
        self.anything = True
        return self._asker.line(question, offers, start)

    def tell(self, text: str = "") -> None:
        self._asker.tell(text)


def _tell(asker: Asker, text: str) -> None:
    for line in wrap(safe(text), WIDTH):
        asker.tell(line)
