"""`begin` and `session`: what is written down."""

from __future__ import annotations

import sys
from datetime import date, datetime
from pathlib import Path

import click

from journalgen.arguments import Day, read_as, zone_name
from journalgen.completing import MATERIALS, PARTS, words_of
from journalgen.verbs.common import JOURNAL, fail, nothing_written, or_no_journal, reference_rates, today, told


def _systems() -> tuple[str, ...]:
    from journalgen.reading.settings import SYSTEMS

    return SYSTEMS


def _languages() -> tuple[str, ...]:
    from journalgen.languages import LANGUAGES

    return LANGUAGES


def _hideable() -> tuple[str, ...]:
    from journalgen.reading.settings import HIDEABLE, NONE

    return (*HIDEABLE, NONE)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--title", help="What the journal is called; the folder's name where left out.")
@click.option("--machine", help="The machine's name; the title where left out.")
@click.option("--currency", help="Home currency, as its ISO 4217 code; EUR where left out.")
@click.option("--time-zone", help="Such as Europe/London; this computer's where left out.")
@click.option("--units", help="metric or imperial; metric where left out.", shell_complete=words_of(_systems))
@click.option("--language", help="Of the pages: en, fr, de or it.", shell_complete=words_of(_languages))
@click.option(
    "--hide", metavar="KINDS", shell_complete=words_of(_hideable),
    help='What strangers do not see: "prices, suppliers, storage, numbers" where left out; also hours; or none.',
)  # fmt: skip
@click.option("--yes", is_flag=True, help="Ask nothing: take the options, and what is usual for the rest.")
@click.option("--example", is_flag=True, help="Lay out the example journal instead of a new one.")
def begin(
    folder: Path,
    title: str | None,
    machine: str | None,
    currency: str | None,
    time_zone: str | None,
    units: str | None,
    language: str | None,
    hide: str | None,
    yes: bool,
    example: bool,
) -> None:
    """Lays out a new journal with one worked entry.

    At a terminal it asks for what is not said.

    \b
    Example: journalgen begin my-trolley --title "My trolley" --currency GBP
    """
    from journalgen import beginning
    from journalgen.answers import read_line
    from journalgen.asking.asker import find_asker, on_terminal
    from journalgen.asking.begin_questions import Wishes, ask_wishes, plan
    from journalgen.reading.money import parse_currency
    from journalgen.reading.settings import parse_hide, parse_language, parse_units
    from journalgen.terminal import say

    try:
        if example:
            beginning.copy_example(folder)
            say(f"The example journal is in {folder}. Next: journalgen assemble {folder}")
            return
        wishes = Wishes(
            title=read_as(read_line, title, "--title") if title is not None else None,
            machine=read_as(read_line, machine, "--machine") if machine is not None else None,
            currency=read_as(parse_currency, currency, "--currency") if currency is not None else None,
            time_zone=zone_name(time_zone) if time_zone is not None else None,
            units=read_as(parse_units, units, "--units") if units is not None else None,
            language=read_as(parse_language, language, "--language") if language is not None else None,
            hide=read_as(parse_hide, hide, "--hide") if hide is not None else None,
        )
        beginning.refuse_if_taken(folder)
        name, zone = read_as(read_line, folder.resolve().name, "FOLDER") or "Journal", zone_name(None)
        if on_terminal() and not yes:
            with nothing_written():
                wishes = ask_wishes(find_asker(), wishes, folder, name, zone)
        entry = beginning.begin(folder, plan(wishes, name, zone, "EUR", today(wishes.time_zone or zone)))
    except (beginning.CannotBegin, OSError) as fault:
        fail(told(fault))
    where = "this folder" if folder == Path() else folder
    say(f"A journal was laid out in {where}. Its first entry is an example, and counts until you change or delete it:")
    say(str(entry), err=False)
    say(f"Next: journalgen assemble {folder}")


@click.command(short_help="Writes a new dated entry, and prints its path.")
@JOURNAL
@click.option("--title", help="What the session was about.")
@click.option("--parts", help="The parts worked on, with commas between them.", shell_complete=PARTS)
@click.option("--hours", help="2.5, 2:30, 2 h 30 min or 150 min.")
@click.option("--date", "day", type=Day(), help="The day of the session; today where left out.")
@click.option("--start", help="When it began, such as 19:15.")
@click.option(
    "--work", multiple=True, metavar="LINE",
    help='A line of work as an entry holds it: "part: wheel, step: etch, hours: 1:30". May be given several times.',
)  # fmt: skip
@click.option(
    "--materials", help='What was used: "degreaser 50 mL, 320 grit paper 2 sheets".', shell_complete=MATERIALS
)
@click.option(
    "--photos", multiple=True, metavar="FILES",
    help="Files in photos/, with commas, or all: those of the day that no entry names. May be given several times.",
)  # fmt: skip
@click.option("--text", help="What happened, as Markdown; - reads it from standard input.")
@click.option(
    "--another", is_flag=True, help="Write an entry of its own, even where one of the day waits to be filled in."
)
@click.option("--no-questions", is_flag=True, help="Ask nothing, even at a terminal.")
@click.option("--edit", is_flag=True, help="Open the entry in your editor.")
def session(
    journal: Path,
    title: str | None,
    parts: str | None,
    hours: str | None,
    day: date | None,
    start: str | None,
    work: tuple[str, ...],
    materials: str | None,
    photos: tuple[str, ...],
    text: str | None,
    another: bool,
    no_questions: bool,
    edit: bool,
) -> None:
    """Writes a new dated entry from what is known, and prints its path.

    At a terminal it asks for what is not said, with the names of the journal offered; Enter leaves a question empty.
    An entry of the day that holds nothing but photographs, as intake opens it, is filled in.

    \b
    Example: journalgen session --title "Acid coat" --parts wheel --hours 2:30
    """
    from journalgen import catching
    from journalgen.beginning import CannotBegin, NewEntry, entry_text
    from journalgen.pointing import Sources
    from journalgen.terminal import count_line, problem_lines, say

    said = catching.Said(title, parts, hours, day, start, work, materials, photos, read_text(text))
    try:
        with nothing_written():
            sitting = or_no_journal(
                lambda: catching.sit_down(journal, day, datetime.now, reference_rates(), another=another), journal
            )
            options = catching.read_said(said, sitting)
            entry = options if no_questions else catching.ask_for_rest(options, said, sitting, editing=edit)
        if entry is not options and not edit and entry_text(entry) == entry_text(NewEntry(entry.day)):
            say("Nothing was said, so nothing was written.")
            return
        for line in catching.remarks(entry, said, sitting, asked=entry is not options):
            say(line)
        path, found = catching.write_entry(entry, sitting, whatever=entry is not options)
    except catching.Refused as fault:
        raise click.UsageError(str(fault)) from None
    except (CannotBegin, OSError) as fault:
        fail(
            told(fault)
            if entry is options
            else f"{told(fault)} This is what was to be written:\n\n{catching.written_text(entry, sitting)}"
        )
    own = [problem for problem in found if journal / problem.place.file == path]
    for line in problem_lines(own, Sources(journal)):
        say(line)
    if len(own) < len(found):
        say(f"It brings {count_line([p for p in found if p not in own])} elsewhere: journalgen inspect {journal}")
    if edit:
        open_editor(path)
    say(str(path), err=False)
    for line in catching.unsound(entry, journal):
        say(line)
    if entry is not options:
        say(f"Next: journalgen preview {journal}")


def read_text(option: str | None) -> str | None:
    """What `--text` holds, or standard input where it is a hyphen."""
    if option != "-":
        return option
    from journalgen.problems import Problems
    from journalgen.reading.texts import decode

    problems = Problems()
    text = decode(sys.stdin.buffer.read(), "standard input", problems)
    for problem in problems.found:
        raise click.BadParameter(f"{problem.message} {problem.remedy}", param_hint="--text")
    return text


def open_editor(path: Path) -> None:
    """Opens the entry in the person's editor; where that fails the entry is there all the same."""
    try:
        click.edit(filename=str(path))
    except click.ClickException as fault:
        fail(
            f"{path} was written, but your editor could not be opened. {fault.message} Set EDITOR to one that is there."
        )
