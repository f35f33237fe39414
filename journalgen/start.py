"""Where the command begins: with what can be answered before anything is loaded."""

from __future__ import annotations

import gc
import io
import os
import sys

from journalgen import interrupts


def main() -> None:
    """Runs the command with the words of the process."""
    interrupts.lose_none()
    if isinstance(sys.stdout, io.TextIOWrapper):  # what a pipe's encoding has no letter for must not end the command
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        _run(sys.argv[1:])
    except KeyboardInterrupt:  # before there was a verb to tell of it, or after it had ended
        interrupts.hear_no_more()
        sys.stderr.write(f"{interrupts.SAID}\n")
        sys.exit(interrupts.STATUS)
    except SystemExit as end:
        if end.code == interrupts.STATUS:
            interrupts.hear_no_more()
        raise
    finally:
        gc.freeze()  # the system takes all of it back; to look through it once more would take longer than a short run


def _run(words: list[str]) -> None:
    begun = None
    verb = words[1:] if words[:1] == ["--no-colour"] else words
    if verb[:1] == ["assemble"]:
        gc.disable()  # what it makes has no rings, and to look for some takes a tenth of the time
        from journalgen.unchanged import Run

        begun = Run(verb[1:])
        if begun.answer():
            return
        begun.look_ahead()
    from journalgen.command import main as run

    if "_JOURNALGEN_COMPLETE" not in os.environ:
        run(words, "journalgen", obj=begun)
    try:
        run(words, "journalgen", obj=begun)
    except Exception:  # a shell asks, and would print a fault into the line that someone is typing
        sys.exit(1)
