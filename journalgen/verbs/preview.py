"""`preview`: the site as it is being written."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from journalgen.completing import THEMES
from journalgen.verbs.common import JOURNAL, ON, fail, or_no_journal, reference_rates, today

if TYPE_CHECKING:
    from journalgen.preview.keeper import Renewed


@click.command(short_help="Shows the site on this computer, renewed at every change.")
@JOURNAL
@click.option("--edition", type=click.Choice(["owner", "public", "both"]), default="owner", show_default=True,
              help="Which edition to show; both have an address each.")  # fmt: skip
@click.option("--port", type=click.IntRange(1, 65534), help="Where to show it; the next free one where left out.")
@click.option("--open", "opens", is_flag=True, help="Open it in your browser.")
@click.option(
    "--theme", help="Name or folder of a theme; the journal's own choice where left out.", shell_complete=THEMES
)
@ON
def preview(journal: Path, edition: str, port: int | None, opens: bool, theme: str | None, on: date | None) -> None:
    """Shows the site here and renews it at every change.

    It goes on until Ctrl-C.

    The owner's edition shows what is private; no other computer can reach it.

    Example: journalgen preview --open
    """
    from journalgen.preview.listening import PortTaken
    from journalgen.preview.serving import CannotShow, preview
    from journalgen.reading.journal import read_settings
    from journalgen.site.assemble import Order
    from journalgen.site.matter import OWNER, PUBLIC
    from journalgen.terminal import say

    or_no_journal(lambda: read_settings(journal), journal)
    editions = (OWNER, PUBLIC) if edition == "both" else (edition,)

    def day() -> date:
        return on or today(read_settings(journal).time_zone.key)

    def begun(addresses: Mapping[str, str]) -> None:
        for shown, address in addresses.items():
            say(f"{_NAMES[shown]} is at")
            say(address, err=False)
        say("It follows every change. Ctrl-C ends it.")
        if opens:
            click.launch(next(iter(addresses.values())))

    try:
        preview(Order(journal, day(), editions, theme), reference_rates(), day, port, begun, partial(_tell, journal))
    except (CannotShow, PortTaken, OSError) as fault:
        fail(str(fault))
    say("The preview has ended.")


_NAMES: Final = {"owner": "The owner's edition, which shows what is private,", "public": "The public edition"}


def _tell(journal: Path, renewed: Renewed) -> None:
    """A line for every change, and the problems while there are any."""
    from journalgen.pointing import Sources
    from journalgen.terminal import problem_lines, say

    now = f"{datetime.now().astimezone():%H:%M:%S}"
    if renewed.fault:
        say(f"{now}  {renewed.fault}")
    elif renewed.problems:
        say(f"{now}  The page stays as it was until this is mended:")
        for line in problem_lines(renewed.problems, Sources(journal)):
            say(line)
    elif renewed.mended and not renewed.changed:
        say(f"{now}  It is mended; the page goes on.")
    elif renewed.changed:
        rest = f"; {_count(renewed.pictures, 'picture')} to be made" if renewed.pictures else ""
        mended = "It is mended. " if renewed.mended else ""
        say(f"{now}  {mended}{_count(renewed.changed, 'file')} renewed{rest}")
    for line in problem_lines(renewed.warnings, Sources(journal)):
        say(line)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
