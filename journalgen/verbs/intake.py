"""`intake`: photographs into the journal."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

import click

from journalgen import interrupts
from journalgen.arguments import read_as
from journalgen.completing import PARTS
from journalgen.verbs.common import JSON, fail, or_no_journal


@click.command(short_help="Copies photographs in, and adds them to their day's entry.")
@click.argument(
    "given", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True), metavar="PHOTO_OR_FOLDER..."
)  # fmt: skip
@click.option(
    "--journal", type=click.Path(path_type=Path, file_okay=False), default=Path("."), metavar="DIR",
    help="The journal; this folder where left out.",
)  # fmt: skip
@click.option(
    "--part", "parts", multiple=True, help="The part they show; may be given several times.", shell_complete=PARTS
)
@click.option("--shows", type=click.Choice(["before", "during", "after"]), help="What they show of it.")
@click.option("--dry-run", is_flag=True, help="Write nothing, and say what would be done.")
@JSON
def intake(
    given: tuple[Path, ...],
    journal: Path,
    parts: tuple[str, ...],
    shows: str | None,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Copies photographs into the journal and adds them to the entry of the day they were taken.

    Folders are looked through. Each copy is verified; what the journal has already is skipped, and the
    originals are never touched. Until 04:00 a photograph belongs to the evening before.

    Example: journalgen intake /media/card --journal my-trolley --part wheel --shows before
    """
    from journalgen.answers import doubt_parts, find_slip, read_parts
    from journalgen.intake import CannotTakeIn, Order, holding, take_in
    from journalgen.intake.saying import report_json, report_lines, result_lines
    from journalgen.reading.journal import read_journal, recall
    from journalgen.reading.texts import visible
    from journalgen.terminal import progress_bar, safe, say, say_json

    memory = recall(journal)
    reading = or_no_journal(lambda: read_journal(journal, memory=memory), journal)
    named = [name for text in parts for name in read_as(lambda t: read_parts(t, reading.registers), text, "--part")]
    if slip := find_slip(named, reading.registers):  # it would be in the names of files for good
        new = "A part that is new goes into register/parts.yaml first."
        raise click.BadParameter(f'"{slip[0]}" is not a known part; did you mean {slip[1]}? {new}', param_hint="--part")
    if doubt := doubt_parts(named, reading.registers):
        say(f"{doubt} It is entered as it is.")
    order = Order(journal, given, tuple(dict.fromkeys(named)), shows, dry_run)
    try:
        with holding(order):
            now = datetime.now(reading.journal.settings.time_zone)
            report = take_in(order, reading, now, progress_bar, lambda: read_journal(journal, memory=memory))
    except CannotTakeIn as fault:
        fail(str(fault))
    if as_json:
        say_json(report_json(report))
    elif not sys.stdout.isatty():  # there the summary names them
        for line in result_lines(report):
            say(visible(line), err=False)
    for line in report_lines(report, journal):
        say(safe(visible(line)).replace("\n", " "))
    if report.interrupted:
        raise SystemExit(interrupts.STATUS)
    if not report.is_done:
        raise SystemExit(1)
