"""Where the command begins: with what can be answered before anything is loaded."""

from __future__ import annotations

import sys


def main() -> None:
    """Runs the command with the words of the process."""
    words = sys.argv[1:]
    if words[:1] == ["assemble"]:
        from journalgen.unchanged import answer

        if answer(words[1:]):
            return
    from journalgen.command import main as run

    run(words, "journalgen", obj=words[1:])
