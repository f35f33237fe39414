"""Where the command begins: with what can be answered before anything is loaded."""

from __future__ import annotations

import sys

from journalgen import interrupts


def main() -> None:
    """Runs the command with the words of the process."""
    interrupts.lose_none()
    try:
        _run(sys.argv[1:])
    except KeyboardInterrupt:  # before there was a verb to tell of it
        sys.stderr.write(f"{interrupts.SAID}\n")
        sys.exit(interrupts.STATUS)


def _run(words: list[str]) -> None:
    if words[:1] == ["assemble"]:
        from journalgen.unchanged import answer

        if answer(words[1:]):
            return
    from journalgen.command import main as run

    run(words, "journalgen", obj=words[1:])
