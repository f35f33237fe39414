"""The verbs: each parses its arguments, calls one function, and turns the outcome into text and an exit status.

0: done. 1: the journal has errors, or the work failed. 2: wrong usage. 130: interrupted from the keyboard.
Messages for people go to standard error, results to standard output. What a verb needs is imported
when it runs.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeVar

import click

from journalgen import __version__
from journalgen.arguments import Day, find_material, find_part, known_parts, read_as, zone_name

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from journalgen.problems import Problem
    from journalgen.reading.journal import Reading
    from journalgen.records import Journal

Result = TypeVar("Result")

JOURNAL: Final = click.argument(
    "journal", type=click.Path(path_type=Path, file_okay=False), default=Path("."), required=False
)
ON: Final = click.option("--on", type=Day(), help="Compute as on this day (today where left out).")
INTERRUPTED: Final = 130  # the exit status of what was ended from the keyboard, as shells give it
JSON: Final = click.option("--json", "as_json", is_flag=True, help="Print the stable JSON form.")


class _Verbs(click.Group):
    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            _fail("Interrupted; what was finished is kept.", INTERRUPTED)


@click.group(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(__version__, message="%(prog)s %(version)s")
def main() -> None:
    """Keeps the record of a restoration: hours, money, materials, pictures, and a site to share.

    A journal is a folder with journal.toml and dated Markdown entries. JOURNAL is that folder, or
    the current one where it is left out. Begin with: journalgen begin my-machine
    """


@main.command()
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
            title or folder.resolve().name, read_as(parse_currency, currency, "--currency"), zone, _today(zone)
        )
        entry = beginning.begin(folder, new)
    except (beginning.CannotBegin, OSError) as fault:
        _fail(str(fault))
    say(f"A journal was laid out in {folder}. Its first entry, to change as you like:")
    say(str(entry), err=False)
    say(f"Next: journalgen assemble {folder}")


@main.command()
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

    reading = _read(journal)
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
        _fail(str(fault))
    if edit:
        click.edit(filename=str(path))
    say(str(path), err=False)


@main.command()
@JOURNAL
@ON
@JSON
def inspect(journal: Path, on: date | None, as_json: bool) -> None:
    """Reports the problems of the journal; exit status 1 if any is an error.

    Example: journalgen inspect my-trolley --json
    """
    from journalgen.inspecting import inspect_journal, problems_json
    from journalgen.terminal import count_line, problem_lines, say

    reading = _read(journal)
    found = inspect_journal(reading, journal, _reference(), on or _today_of(reading.journal), today=on is None)
    if as_json:
        click.echo(json.dumps(problems_json(found), ensure_ascii=False, indent=1))
    else:
        for line in problem_lines(found):
            say(line, err=False)
        sessions = len(reading.journal.sessions)
        say(f"{count_line(found)} in {sessions} session{'' if sessions == 1 else 's'}.", err=False)
    _exit_for(found)


@main.command()
@JOURNAL
@click.option(
    "--edition", type=click.Choice(["public", "owner", "both"]), default="both", show_default=True,
    help="Which edition to write.",
)  # fmt: skip
@click.option("--theme", help="A theme's name, or the path of its folder; the journal's choice where left out.")
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
    from journalgen.pictures import Interrupted, PicturesInterrupted
    from journalgen.reading.journal import read_settings
    from journalgen.site import assemble as site
    from journalgen.site.themes import ThemeFault, UnknownTheme
    from journalgen.site.tree import OutputFault
    from journalgen.terminal import count_line, problem_lines, progress_bar, say
    from journalgen.unchanged import Run

    run = Run(click.get_current_context().find_root().obj)
    settings = _or_no_journal(lambda: read_settings(journal), journal)
    chosen = ("owner", "public") if edition == "both" else (edition,)
    day = on or _today(str(settings.time_zone))
    order = site.Order(journal, day, chosen, theme, to, leave_out, pages_only)
    try:
        with progress_bar("pictures") as progress:
            done = site.assemble(order, _reference(), progress)
    except site.JournalFaulty as faulty:
        for line in problem_lines([problem for problem in faulty.problems if problem.is_error]):
            say(line)
        say(f"{count_line(faulty.problems)}. Nothing was replaced.")
        advice = "." if leave_out else ", or use --leave-out to assemble without the entries that have them."
        say(f"Mend the errors{advice}")
        raise SystemExit(1) from None
    except UnknownTheme as fault:
        raise click.BadParameter(str(fault), param_hint="--theme") from None
    except (OutputFault, PicturesInterrupted, ThemeFault) as fault:
        _fail(str(fault))
    except Interrupted as stop:
        _fail(f"{stop} Assemble again for the rest.", INTERRUPTED)
    messages = [f"Left out because of errors: {file}" for file in done.left_out]
    if done.not_made:
        s = "" if done.not_made == 1 else "s"
        messages.append(f"{done.not_made} photograph{s} without a picture yet; without --pages-only they are made.")
    if done.problems:
        messages.append(f"{count_line(done.problems)}; see them with: journalgen inspect {journal}")
    results = [str(tree / "index.html") for tree in done.sites]
    for line in messages:
        say(line)
    for line in results:
        say(line, err=False)
    run.leave(_span(day, settings.time_zone if on is None else None), done.themes, done.paths, messages, results)


@main.command()
@JOURNAL
@ON
@JSON
@click.option("--csv", "csv_folder", type=click.Path(path_type=Path, file_okay=False), help="Write CSV files here.")
@click.option("--part", help="Only what belongs to this part.")
@click.option("--since", type=Day(), help="Only from this day on.")
@click.option("--until", type=Day(), help="Only up to and including this day.")
def totals(
    journal: Path,
    on: date | None,
    as_json: bool,
    csv_folder: Path | None,
    part: str | None,
    since: date | None,
    until: date | None,
) -> None:
    """Adds up hours, money and stock; exit status 1 if the journal has errors.

    Example: journalgen totals my-trolley --since 2024-01-01 --until 2024-12-31
    """
    from journalgen import inspecting
    from journalgen.terminal import say
    from journalgen.totals import Choice, total, totals_json, totals_lines

    if since and until and since > until:
        raise click.UsageError(f"--since {since} is after --until {until}.")
    reading = _read(journal)
    day = on or _today_of(reading.journal)
    choice = Choice(day, since, until, find_part(part, reading.journal) if part else None)
    reference = _reference()
    figures = total(reading.journal, reference, choice)
    found = inspecting.record_problems(reading, reference, day, today=on is None)
    if csv_folder:
        from journalgen.site.totals_csv import render_totals

        try:
            for name, contents in render_totals(figures, reference):
                _write(csv_folder / name, contents)
                say(str(csv_folder / name), err=as_json)
        except OSError as fault:
            _fail(f"The files could not be written to {csv_folder}: {fault.strerror}.")
    if as_json:
        click.echo(json.dumps(totals_json(figures, found), ensure_ascii=False, indent=1))
    if not as_json and not csv_folder:
        for line in totals_lines(figures):
            say(line, err=False)
    _warn_of_errors(found, journal)
    _exit_for(found)


@main.command()
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
    from journalgen.terminal import say

    minutes = read_as(parse_hours, hours, "--hours") if hours is not None else None
    reading = _read(journal)
    problems = Problems(list(reading.problems))
    figures = compute(reading.journal, _reference(), on or _today_of(reading.journal), problems)
    found = find_ready(reading.journal, figures, minutes)
    if as_json:
        click.echo(json.dumps(ready_json(found), ensure_ascii=False, indent=1))
    else:
        for line in (*ready_lines(found), *caution_lines(found, trade_lore())):
            say(line, err=False)
    _warn_of_errors(problems.in_order(), journal)
    _exit_for(problems.in_order())


@main.command()
@click.argument("material")
@JOURNAL
@ON
@click.option("--part", "parts", multiple=True, help="A part to coat; may be given several times.")
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
    from journalgen.ledgers.figures import compute
    from journalgen.problems import Problems
    from journalgen.reading.amounts import parse_amount, parse_film
    from journalgen.terminal import say

    record = _read(journal).journal
    job = estimating.Job(
        material=find_material(material, record),
        parts=tuple(record.parts[find_part(name, record)] for name in parts),
        area=read_as(parse_amount, area, "--area") if area is not None else None,
        coats=coats,
        film=read_as(parse_film, film, "--film") if film is not None else None,
    )
    stock = compute(record, _reference(), on or _today_of(record), Problems()).stock
    try:
        found = estimating.estimate(job, stock, record.settings.home_decimals)
    except estimating.CannotEstimate as fault:
        raise click.UsageError(str(fault)) from None
    for line in estimating.estimate_lines(found, record.settings):
        say(line, err=False)


@main.command()
@JOURNAL
@ON
@click.option("--to", type=click.Path(path_type=Path, dir_okay=False), help="Write this file, and not the screen.")
def calendar(journal: Path, on: date | None, to: Path | None) -> None:
    """Gives waits and windows as a calendar (iCalendar, RFC 5545) with alarms.

    Example: journalgen calendar my-trolley --to waits.ics
    """
    from journalgen.ledgers.figures import compute
    from journalgen.outside.calendar import render_calendar
    from journalgen.problems import Problems

    record = _read(journal).journal
    waits = compute(record, _reference(), on or _today_of(record), Problems()).craft.waits
    contents = render_calendar(waits, record.steps, record.settings.title)
    if to is None:
        click.echo(contents, nl=False)
        return
    try:
        _write(to, contents)
    except OSError as fault:
        _fail(f"{to} could not be written: {fault.strerror}.")


def _span(day: date, zone: ZoneInfo | None) -> tuple[float, float]:
    """From when to when a day lasts in a zone, in seconds since the epoch; for ever without one."""
    if zone is None:
        return float("-inf"), float("inf")
    first, last = (datetime.combine(day + timedelta(days=n), time(), zone).timestamp() for n in (0, 1))
    return first, last


def _write(path: Path, contents: bytes) -> None:
    from journalgen.whole import write_whole

    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, contents)


def _read(folder: Path) -> Reading:
    from journalgen.reading.journal import read_journal

    return _or_no_journal(lambda: read_journal(folder), folder)


def _or_no_journal(read: Callable[[], Result], folder: Path) -> Result:
    from journalgen.reading.journal import NoJournal
    from journalgen.terminal import say

    try:
        return read()
    except NoJournal as fault:
        say(f"{fault} Begin one with: journalgen begin {folder if str(folder) != '.' else 'my-machine'}")
        raise SystemExit(2) from None


def _reference() -> Any:
    from journalgen.reading.rates import EuropeanCentralBank

    return EuropeanCentralBank()


def _today(zone: str) -> date:
    from zoneinfo import ZoneInfo

    return datetime.now(ZoneInfo(zone)).date()


def _today_of(journal: Journal) -> date:
    return datetime.now(journal.settings.time_zone).date()


def _warn_of_errors(found: tuple[Problem, ...], journal: Path) -> None:
    from journalgen.terminal import count_line, say

    if any(problem.is_error for problem in found):
        say(f"{count_line(found)}: what could not be read is not counted. See: journalgen inspect {journal}")


def _exit_for(found: tuple[Problem, ...]) -> None:
    if any(problem.is_error for problem in found):
        raise SystemExit(1)


def _fail(message: str, status: int = 1) -> NoReturn:
    from journalgen.terminal import say

    say(message)
    raise SystemExit(status)
