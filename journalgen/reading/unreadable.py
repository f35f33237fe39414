"""How a value says that it cannot be read; the reader of the file adds the place."""

from __future__ import annotations


class Unreadable(ValueError):
    """A text that is not what its field asks for, with the rule it breaks and what to write instead."""

    def __init__(self, rule: str, message: str, remedy: str) -> None:
        super().__init__(message)
        self.rule = rule
        self.message = message
        self.remedy = remedy
