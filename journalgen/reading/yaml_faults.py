"""What a fault of YAML means to somebody who has never heard of YAML."""

from __future__ import annotations

from typing import Final

import yaml

_LOOK: Final = (
    "Look at the indent, the colons and the brackets of this line and the one above; "
    'put texts that hold ": ", "#" or a comma in brackets between quotes.'
)
_TAB: Final = "There is a tab here.", "Use spaces in its place; your editor may have put it there by itself."
_QUOTES: Final = 'Put the whole text between quotes, such as title: "Wheel: first coat".'
_SAID: Final = (
    ("mapping values are not allowed", "There is a colon too many on this line.", _QUOTES),
    (
        "expected ',' or '}'",
        "A brace { that was opened is not closed, or a comma is missing.",
        "Look for the missing }.",
    ),
    (
        "expected ',' or ']'",
        "A bracket [ that was opened is not closed, or a comma is missing.",
        "Look for the missing ].",
    ),
    ("unexpected end of stream", "A quote or a bracket that was opened is not closed.", "Close it."),
    ("could not find expected ':'", "A colon is missing in this line, or in the one above.", "Write key: value."),
    ("did not find expected key", "This line does not go on where the one above ended.", _LOOK),
    ("did not find expected '-' indicator", "This line stands among the lines of a list, and is none.", _LOOK),
    ("unknown escape character", "A backslash between double quotes begins a sign of its own.", "Use single quotes."),
)
_BEGINS: Final = "cannot start any token"


def explain(fault: yaml.MarkedYAMLError, text: str) -> tuple[str, str]:
    """What is wrong, and what to do about it. `text` is what could not be read."""
    said = str(fault.problem or fault.context)
    mark = fault.problem_mark or fault.context_mark
    lines = text.splitlines()
    line = lines[mark.line] if mark is not None and mark.line < len(lines) else ""
    here = line[mark.column : mark.column + 1] if mark is not None else ""
    if "tab" in said.split() or (_BEGINS in said and here == "\t"):
        return _TAB
    if _BEGINS in said:
        return f"No text can begin with {here or 'this sign'} without quotes.", _QUOTES
    found = ((message, remedy) for words, message, remedy in _SAID if words in said)
    return next(found, (f"This is not YAML: {said}.", _LOOK))
