"""`assemble`: the site."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from journalgen.completing import THEMES
from journalgen.verbs.common import JOURNAL, ON, assemble_or_end, or_no_journal, today

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo


@click.command()
@JOURNAL
@click.option(
    "--edition", type=click.Choice(["public", "owner", "both"]), default="both", show_default=True,
    help="Which edition to write.",
)  # fmt: skip
@click.option(
    "--theme", shell_complete=THEMES,
    help="A theme's name, or the path of its folder; the journal's choice where left out.",
)  # fmt: skip
@click.option(
    "--to", type=click.Path(path_type=Path, file_okay=False),
    help="Write DIR/public and DIR/owner instead of those in JOURNAL/web.", metavar="DIR",
)  # fmt: skip
@ON
@click.option("--leave-out", is_flag=True, help="Assemble without the entries that have errors.")
@click.option("--pages-only", is_flag=True, help="For a quick look: with the pictures there are, making no more.")
def assemble(
    journal: Path,
    edition: str,
    theme: str | None,
    to: Path | None,
    on: date | None,
    leave_out: bool,
    pages_only: bool,
) -> None:
    """Writes the site and prints the page to open.

    Nothing is replaced if the journal has errors, or if anything fails on the way.

    Example: journalgen assemble my-trolley --edition owner
    """
    from journalgen.pictures import Seen
    from journalgen.reading.journal import read_settings
    from journalgen.site import assemble as site
    from journalgen.terminal import count_line, say
    from journalgen.unchanged import Run

    given = click.get_current_context().find_root().obj
    begun = given if isinstance(given, Run) else None  # it was called from the command line
    settings = or_no_journal(lambda: read_settings(journal), journal)
    chosen = ("owner", "public") if edition == "both" else (edition,)
    day = on or today(str(settings.time_zone))
    order = site.Order(journal, day, chosen, theme, to, leave_out, pages_only)
    advice = "." if leave_out else ", or use --leave-out to assemble without the entries that have them."
    done = assemble_or_end(
        order,
        f"Nothing was replaced.\nMend the errors{advice}",
        "Assemble again for the rest.",
        Seen(begun.seen, begun.pictures) if begun else None,
    )
    messages = [f"Left out because of errors: {file}" for file in done.left_out]
    if done.not_made:
        many, s = len(done.not_made), "" if len(done.not_made) == 1 else "s"
        messages.append(f"{many} photograph{s} without a picture yet; without --pages-only they are made.")
    if done.problems:
        messages.append(f"{count_line(done.problems)}; see them with: journalgen inspect {journal}")
    results = [str(tree / "index.html") for tree in done.sites]
    for line in messages:
        say(line)
    for line in results:
        say(line, err=False)
    if begun:
        begun.leave(_span(day, settings.time_zone if on is None else None), done.themes, done.paths, messages, results)


def _span(day: date, zone: ZoneInfo | None) -> tuple[float, float]:
    """From when to when a day lasts in a zone, in seconds since the epoch; for ever without one."""
    if zone is None:
        return float("-inf"), float("inf")
    first, last = (datetime.combine(day + timedelta(days=n), time(), zone).timestamp() for n in (0, 1))
    return first, last
