"""`begin` and `session`: what is written down."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from journalgen.arguments import Day, known_parts, read_as, zone_name
from journalgen.verbs.common import JOURNAL, fail, read, today


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--title", help="What the journal is called; the folder's name where left out.")
@click.option("--currency", default="EUR", show_default=True, help="Home currency, as its ISO 4217 code.")
@click.option("--time-zone", help="Such as Europe/London; this computer's where left out.")
@click.option("--example", is_flag=True, help="Lay out the example journal instead of a new one.")
def begin(folder: Path, title: str | None, currency: str, time_zone: str | None, example: bool) -> None:
    """Lays out a new journal with one worked entry.

    Example: journalgen begin my-trolley --title "My trolley" --currency GBP
    """
    from journalgen import beginning
    from journalgen.reading.money import parse_currency
    from journalgen.terminal import say

    try:
        if example:
            beginning.copy_example(folder)
            say(f"The example journal is in {folder}. Next: journalgen assemble {folder}")
            return
        zone = zone_name(time_zone)
        new = beginning.NewJournal(
            title or folder.resolve().name, read_as(parse_currency, currency, "--currency"), zone, today(zone)
        )
        entry = beginning.begin(folder, new)
    except (beginning.CannotBegin, OSError) as fault:
        fail(str(fault))
    say(f"A journal was laid out in {folder}. Its first entry, to change as you like:")
    say(str(entry), err=False)
    say(f"Next: journalgen assemble {folder}")


@click.command()
@JOURNAL
@click.option("--title", help="What the session was about.")
@click.option("--parts", help="The parts worked on, with commas between them.")
@click.option("--hours", help="2.5, 2:30, 2 h 30 min or 150 min.")
@click.option("--date", "day", type=Day(), help="The day of the session; today where left out.")
@click.option("--edit", is_flag=True, help="Open the entry in your editor.")
def session(
    journal: Path, title: str | None, parts: str | None, hours: str | None, day: date | None, edit: bool
) -> None:
    """Opens a new dated entry, filled in from what is known, and prints its path.

    Example: journalgen session --title "First acid coat" --parts "wheel, lever" --hours 2:30
    """
    from journalgen import beginning
    from journalgen.reading.hours import parse_session_hours
    from journalgen.terminal import say

    reading = read(journal)
    now = datetime.now(reading.journal.settings.time_zone)
    if hours is not None:
        read_as(parse_session_hours, hours, "--hours")
    named = known_parts(parts or "", reading.journal)
    new = beginning.NewEntry(
        day=day or now.date(),
        title=" ".join(title.split()) if title else None,
        parts=named,
        hours=hours,
        start=f"{now:%H:%M}" if day is None and hours is None else None,
    )
    try:
        path = beginning.open_entry(journal, new)
    except (beginning.CannotBegin, OSError) as fault:
        fail(str(fault))
    if edit:
        click.edit(filename=str(path))
    say(str(path), err=False)
