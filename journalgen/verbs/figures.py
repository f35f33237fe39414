"""`inspect`, `totals`, `ready`, `estimate` and `calendar`: what is known of a journal."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from journalgen.arguments import Day, find_material, find_part, read_as
from journalgen.completing import MATERIAL, PART
from journalgen.verbs.common import (
    JOURNAL,
    JSON,
    ON,
    exit_for,
    fail,
    read,
    reference_rates,
    today_of,
    warn_of_errors,
    write,
)  # fmt: skip


@click.command(short_help="Reports what does not add up, with file, line and remedy.")
@JOURNAL
@ON
@JSON
def inspect(journal: Path, on: date | None, as_json: bool) -> None:
    """Reports the problems of the journal; exit status 1 if any is an error.

    Example: journalgen inspect my-trolley --json
    """
    from journalgen.inspecting import inspect_journal, problems_json
    from journalgen.pointing import Sources
    from journalgen.terminal import count_line, problem_lines, say, say_json

    reading = read(journal)
    found = inspect_journal(reading, journal, reference_rates(), on or today_of(reading.journal), today=on is None)
    if as_json:
        say_json(problems_json(found))
    else:
        for line in problem_lines(found, Sources(journal)):
            say(line, err=False)
        sessions = len(reading.journal.sessions)
        say(f"{count_line(found)} in {sessions} session{'' if sessions == 1 else 's'}.", err=False)
    exit_for(found)


@click.command(short_help="Adds up hours, money and stock.")
@JOURNAL
@ON
@JSON
@click.option("--csv", "csv_folder", type=click.Path(path_type=Path, file_okay=False), help="Write CSV files here.")
@click.option("--bom", is_flag=True, help="Begin them with a byte order mark, for spreadsheets that guess wrong.")
@click.option("--part", help="Only what belongs to this part.", shell_complete=PART)
@click.option("--since", type=Day(), help="Only from this day on.")
@click.option("--until", type=Day(), help="Only up to and including this day.")
def totals(
    journal: Path,
    on: date | None,
    as_json: bool,
    csv_folder: Path | None,
    bom: bool,
    part: str | None,
    since: date | None,
    until: date | None,
) -> None:
    """Adds up hours, money and stock; exit status 1 if the journal has errors.

    Example: journalgen totals my-trolley --since 2024-01-01 --until 2024-12-31
    """
    from journalgen import inspecting
    from journalgen.terminal import say, say_json
    from journalgen.totals import Choice, total, totals_json, totals_lines

    if since and until and since > until:
        raise click.UsageError(f"--since {since} is after --until {until}.")
    if bom and not csv_folder:
        raise click.UsageError("--bom is for the files of --csv.")
    reading = read(journal)
    day = on or today_of(reading.journal)
    choice = Choice(day, since, until, find_part(part, reading.journal) if part else None)
    rates = reference_rates()
    figures = total(reading.journal, rates, choice)
    found = inspecting.record_problems(reading, rates, day, today=on is None)
    if csv_folder:
        from journalgen.site.totals_csv import render_totals

        try:
            for name, contents in render_totals(figures, rates, bom=bom):
                write(csv_folder / name, contents)
                say(str(csv_folder / name), err=as_json)
        except OSError as fault:
            fail(f"The files could not be written to {csv_folder}: {fault.strerror}.")
    if as_json:
        say_json(totals_json(figures, found))
    if not as_json and not csv_folder:
        for line in totals_lines(figures):
            say(line, err=False)
    warn_of_errors(found, journal)
    exit_for(found)


@click.command(short_help="Tells what can be worked on, and what waits until when.")
@JOURNAL
@ON
@JSON
@click.option("--hours", help="Only what fits into so much time: 2.5, 2:30, 150 min.")
def ready(journal: Path, on: date | None, as_json: bool, hours: str | None) -> None:
    """Tells what can be worked on, what waits and until when, what is held up, and what to buy.

    Example: journalgen ready my-trolley --hours 2:00
    """
    from journalgen.house import trade_lore
    from journalgen.ledgers.figures import compute
    from journalgen.problems import Problems
    from journalgen.reading.hours import parse_hours
    from journalgen.ready import caution_lines, find_ready, ready_json, ready_lines
    from journalgen.terminal import say, say_json

    minutes = read_as(parse_hours, hours, "--hours") if hours is not None else None
    reading = read(journal)
    problems = Problems(list(reading.problems))
    figures = compute(reading.journal, reference_rates(), on or today_of(reading.journal), problems)
    found = find_ready(reading.journal, figures, minutes)
    if as_json:
        say_json(ready_json(found))
    else:
        for line in (*ready_lines(found), *caution_lines(found, trade_lore())):
            say(line, err=False)
    warn_of_errors(problems.in_order(), journal)
    exit_for(problems.in_order())


@click.command(short_help="Works out how much of a coating a job takes.")
@click.argument("material", shell_complete=MATERIAL)
@JOURNAL
@ON
@click.option("--part", "parts", multiple=True, help="A part to coat; may be given several times.", shell_complete=PART)
@click.option("--area", help="An area to coat, beside the parts: 1.5 m2, 16 ft2.")
@click.option("--coats", type=click.IntRange(1, 100), default=1, show_default=True, help="How many coats.")
@click.option("--film", help="Dry film of one coat, such as 40 um or 2 mil; the register's where left out.")
def estimate(
    material: str,
    journal: Path,
    on: date | None,
    parts: tuple[str, ...],
    area: str | None,
    coats: int,
    film: str | None,
) -> None:
    """Works out how much of MATERIAL a job takes, how many tins that is, and what it costs.

    Example: journalgen estimate "zinc primer" my-trolley --part wheel --coats 2
    """
    from journalgen import estimating
    from journalgen.ledgers.figures import Figures
    from journalgen.problems import Problems
    from journalgen.reading.amounts import parse_amount, parse_film
    from journalgen.terminal import say

    record = read(journal).journal
    job = estimating.Job(
        material=find_material(material, record),
        parts=tuple(record.parts[find_part(name, record)] for name in parts),
        area=read_as(parse_amount, area, "--area") if area is not None else None,
        coats=coats,
        film=read_as(parse_film, film, "--film") if film is not None else None,
    )
    stock = Figures(record, reference_rates(), on or today_of(record), Problems()).stock
    try:
        found = estimating.estimate(job, stock, record.settings.home_decimals)
    except estimating.CannotEstimate as fault:
        raise click.UsageError(str(fault)) from None
    for line in estimating.estimate_lines(found, record.settings):
        say(line, err=False)


@click.command(short_help="Gives waits and windows as a calendar with alarms.")
@JOURNAL
@ON
@click.option("--to", type=click.Path(path_type=Path, dir_okay=False), help="Write this file, and not the screen.")
def calendar(journal: Path, on: date | None, to: Path | None) -> None:
    """Gives waits and windows as a calendar (iCalendar, RFC 5545) with alarms.

    Example: journalgen calendar my-trolley --to waits.ics
    """
    from journalgen.ledgers.figures import Figures
    from journalgen.outside.calendar import render_calendar
    from journalgen.problems import Problems
    from journalgen.terminal import echo, say

    record = read(journal).journal
    waits = Figures(record, reference_rates(), on or today_of(record), Problems()).craft.waits
    contents = render_calendar(waits, record.steps, record.settings.title, record.settings.address)
    if not any(wait.ready_at or wait.closes_at for row in waits.by_part.values() for wait in row):
        say("Nothing waits and no window closes: the calendar is empty.")
    if to is None:
        echo(contents)
        return
    try:
        write(to, contents, folder=False)
    except OSError as fault:
        fail(f"{to} could not be written: {fault.strerror}.")
    say(str(to), err=False)
