"""Someone who sits at the terminal with prepared answers, and hears what is said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from journalgen.asking.asker import Offer


class Scripted:
    """Gives one answer after another; after the last one the input has ended."""

    to_keep = "To keep it, give the same again."

    def __init__(self, answers: Iterable[str]) -> None:
        self.answers = list(answers)
        self.asked: list[str] = []
        self.offered: list[list[str]] = []
        self.started: list[str] = []
        self.heard: list[str] = []

    def line(self, question: str, offers: Sequence[Offer] = (), start: str = "") -> str:
        self.asked.append(question)
        self.offered.append([offer.name for offer in offers])
        self.started.append(start)
        if not self.answers:
            raise EOFError
        return self.answers.pop(0)

    def tell(self, text: str = "") -> None:
        self.heard.append(text)

    @property
    def said(self) -> str:
        return "\n".join(self.heard)
