"""`dossier`: the record as a PDF."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from journalgen.completing import PART
from journalgen.verbs.common import JOURNAL, ON, fail, nothing_written, read, reference_rates, today_of

if TYPE_CHECKING:
    from journalgen.outside.dossier.making import Made, Order
    from journalgen.reading.remembered import Remembered


@click.command(short_help="Writes the record as a PDF for an insurer, a registrar or a buyer.")
@JOURNAL
@click.option(
    "--part", "parts", multiple=True, shell_complete=PART, help="Only of this part; may be given several times."
)
@click.option("--assembly", "assemblies", multiple=True, help="Only of the parts of this assembly; likewise.")
@click.option(
    "--edition", type=click.Choice(["owner", "public"]), default="owner", show_default=True,
    help="owner: everything. public: only what strangers may see.",
)  # fmt: skip
@click.option("--costs/--no-costs", default=None, help="Tell what it cost, or not; as journal.toml has it otherwise.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of the pages."
)
@click.option(
    "--to", type=click.Path(path_type=Path), metavar="FILE", help="The PDF, or a folder; beside the journal otherwise."
)
@click.option("--replace", is_flag=True, help="Write over a file that is no dossier of this program.")
@click.option(
    "--fonts", type=click.Path(path_type=Path, file_okay=False, exists=True), metavar="DIR",
    help="Fonts for letters that those at hand do not have.",
)  # fmt: skip
@click.option("--leave-out", is_flag=True, help="Leave out entries that have errors, and say so.")
@ON
def dossier(
    journal: Path,
    parts: tuple[str, ...],
    assemblies: tuple[str, ...],
    edition: str,
    costs: bool | None,
    paper: Literal["a4", "letter"],
    to: Path | None,
    replace: bool,
    fonts: Path | None,
    leave_out: bool,
    on: date | None,
) -> None:
    """Writes the record as a PDF: what was found, decided and done, with what, and what is not known.

    It is tagged (PDF/UA-1) and made to last (PDF/A-2a). Nothing is written if the journal has errors.

    Example: journalgen dossier my-trolley --edition public
    """
    from journalgen.arguments import find_assembly, find_part
    from journalgen.outside.dossier.making import Order
    from journalgen.outside.dossier.target import choose_target
    from journalgen.reading.journal import recall
    from journalgen.site.assemble import Order as Assembly
    from journalgen.terminal import say

    memory = recall(journal)
    record = read(journal, memory).journal
    if costs and edition == "public" and "prices" in record.settings.hide:
        raise click.UsageError("The public edition hides prices; take `prices` out of `hide`, or leave out --costs.")
    day = on or today_of(record)
    order = Order(
        Assembly(journal, day, leave_out=leave_out),
        edition,
        tuple(dict.fromkeys(find_part(name, record) for name in parts)),
        tuple(dict.fromkeys(find_assembly(name, record) for name in assemblies)),
        costs,
        paper,
        fonts,
    )
    named = (*order.parts, *order.assemblies)
    target = choose_target(journal, record.settings.title, day, to, named=named, is_public=edition == "public")
    with nothing_written():
        made = _write(order, target, memory, replace)
    for line in _lines(made):
        say(line)
    say(str(target), err=False)


def _write(order: Order, target: Path, memory: Remembered, replace: bool) -> Made:
    from journalgen import interrupts
    from journalgen.outside.dossier.making import write_dossier
    from journalgen.outside.dossier.target import CannotMake
    from journalgen.pictures import Interrupted, PicturesInterrupted
    from journalgen.pointing import Sources
    from journalgen.site.assemble import JournalFaulty
    from journalgen.terminal import count_line, problem_lines, progress_bar, say

    try:
        return write_dossier(order, target, reference_rates(), progress_bar, memory, replace_any=replace)
    except JournalFaulty as faulty:
        errors = [problem for problem in faulty.problems if problem.is_error]
        for line in problem_lines(errors, Sources(order.assembly.folder)):
            say(line)
        fail(f"{count_line(faulty.problems)}. Nothing was written.\nMend the errors, or use --leave-out.")
    except Interrupted as stop:
        fail(f"{stop} No dossier was written.", interrupts.STATUS)
    except (CannotMake, PicturesInterrupted) as fault:
        fail(str(fault))


def _lines(made: Made) -> list[str]:
    lines = [f"Left out because of errors: {file}" for file in made.left_out]
    if made.gaps:
        s = "" if made.gaps == 1 else "s"
        lines.append(f"{made.gaps} photograph{s} could not be shown; a gap is marked instead.")
    if made.not_shown:
        named = ", ".join(shown for _letter, shown in made.not_shown[:5])
        more = f" and {len(made.not_shown) - 5} more" if len(made.not_shown) > 5 else ""
        lines.append(
            f"The fonts at hand have no sign for {named}{more}: their numbers stand in the dossier instead. "
            "Name a folder of fonts that have them with --fonts."
        )
    return lines
