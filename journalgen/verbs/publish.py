"""`publish`: the public edition to the place its owner sends it to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from journalgen import interrupts
from journalgen.completing import TARGETS
from journalgen.verbs.common import JOURNAL, ON, assemble_or_end, fail, or_no_journal, today

if TYPE_CHECKING:
    from journalgen.outside.publishing.plan import Local
    from journalgen.outside.revealing.model import Finding
    from journalgen.reading.journal import Reading
    from journalgen.records import Journal


@click.command(short_help="Sends the public edition to a folder, server or store.")
@click.argument("target", required=False, shell_complete=TARGETS)
@JOURNAL
@ON
@click.option("--dry-run", is_flag=True, help="Send nothing; list what would be sent, changed and removed.")
@click.option("--yes", is_flag=True, help="Agree to what the inspection lists; what it stops stays stopped.")
@click.option(
    "--replace", is_flag=True,
    help="Send all of it anew, and replace files of the same names that this program did not put there.",
)  # fmt: skip
def publish(target: str | None, journal: Path, on: date | None, dry_run: bool, yes: bool, replace: bool) -> None:
    """Sends the public edition to TARGET, a name from journal.toml.

    TARGET may be left out where there is only one. At first it is inspected what strangers would learn. Only
    what changed is sent; where that breaks off, the same command completes it.

    Example: journalgen publish web my-trolley --dry-run
    """
    from journalgen.outside.publishing import run
    from journalgen.outside.publishing.faults import CannotPublish
    from journalgen.outside.publishing.opening import open_store
    from journalgen.outside.publishing.saying import plan_line, sent_line, step_lines
    from journalgen.outside.publishing.sending import Patience, Sent
    from journalgen.outside.revealing.saying import judgement_line
    from journalgen.reading.journal import read_journal
    from journalgen.site.assemble import Order
    from journalgen.site.matter import PUBLIC
    from journalgen.terminal import progress_bar, safe, say

    target, journal = _tell_apart(target, journal)
    reading = or_no_journal(lambda: read_journal(journal), journal)
    _refuse_faulty_settings(reading, journal)
    record = reading.journal
    patience, sent = Patience(say=lambda text: say(safe(text))), Sent()
    try:
        store = open_store(run.choose_target(record.settings, target), journal)
        order = Order(journal, on or today(record.settings.time_zone.key), (PUBLIC,))
        advice = "Nothing was sent. Mend the errors first."
        site = assemble_or_end(order, advice, "Publish again for the rest.").sites[0]
        files, findings = _inspect(journal, record, site)
        found = run.look(store, files, patience, replace=replace)
        say(safe(plan_line(found.plan, store.target.shown)))
        if pictures := found.plan.pictures:
            say(judgement_line(pictures))
        if dry_run:
            for line in step_lines(found.plan):
                say(safe(line), err=False)
            return
        if found.plan.steps:
            _agree(journal, findings, yes=yes)
        with progress_bar("sending", octets=True) as progress:
            run.carry_out(store, site, found, journal, progress, patience, sent)
    except run.NoSuchTarget as fault:
        raise click.UsageError(safe(str(fault))) from None
    except CannotPublish as fault:
        fail(safe(f"{sent_line(sent)} {fault}" if sent.of.steps else str(fault)))
    except KeyboardInterrupt:
        fail(f"Interrupted. {sent_line(sent)} Publish again for the rest.", interrupts.STATUS)
    if sent.done:
        say(sent_line(sent))
    address = record.settings.address
    say(safe(f"{address}/" if address else store.target.shown), err=False)


def _refuse_faulty_settings(reading: Reading, journal: Path) -> None:
    """Says what is wrong with the settings, among which a target may be, and ends the command."""
    from journalgen.pointing import Sources
    from journalgen.reading.settings import FILE
    from journalgen.terminal import problem_lines, say

    errors = [problem for problem in reading.problems if problem.is_error and problem.place.file == FILE]
    for line in problem_lines(errors, Sources(journal)):
        say(line)
    if errors:
        fail("Nothing was sent. Mend the errors first.")


def _tell_apart(target: str | None, journal: Path) -> tuple[str | None, Path]:
    """A word alone is a journal where it names one and there is none here."""
    if (
        target
        and str(journal) == "."
        and not (journal / "journal.toml").exists()
        and (Path(target) / "journal.toml").exists()
    ):
        return None, Path(target)
    return target, journal


def _inspect(journal: Path, record: Journal, site: Path) -> tuple[dict[str, Local], tuple[Finding, ...]]:
    """The files of the site and what they would tell; the command ends where that is hidden."""
    from journalgen.keeping import CACHE
    from journalgen.outside.publishing.agreeing import agreed
    from journalgen.outside.publishing.digests import read_site
    from journalgen.outside.revealing.inspection import inspect_site
    from journalgen.outside.revealing.saying import finding_lines, shown_line
    from journalgen.site.manifest import MANIFEST, read_manifest
    from journalgen.terminal import progress_bar, safe, say

    try:
        with progress_bar("inspecting") as progress:
            files = read_site(site, journal / CACHE)
            made = {*read_manifest(site), MANIFEST}
            findings = inspect_site(site, files, made, record, journal, progress)
    except OSError as fault:
        fail(f"The site cannot be read: {fault.strerror}.")
    for line in finding_lines(findings, agreed(journal)):
        say(safe(line))
    if shown := shown_line(record.settings.hide):
        say(shown)
    if stopping := [finding for finding in findings if finding.stops]:
        many = f"{len(stopping)} thing{'' if len(stopping) == 1 else 's'}"
        fail(f"The site would tell {many} that the journal hides. Nothing was sent; mend that first.")
    return files, findings


def _agree(journal: Path, findings: Sequence[Finding], *, yes: bool) -> None:
    """Has a person agree to what was found, unless that was done before."""
    from journalgen.asking.asker import PlainAsker, on_terminal
    from journalgen.outside.publishing.agreeing import agree, agreed

    if {finding.key for finding in findings} <= agreed(journal):
        return
    if not yes and not on_terminal():
        fail("Nothing was sent. Look at what is listed above; if strangers may see it, add --yes.")
    if not yes:
        try:
            answer = PlainAsker().line("Send it, with what is listed above? (yes/no) ")
        except EOFError:
            answer = ""
        if answer.strip().casefold() not in ("y", "yes"):
            fail("Nothing was sent.")
    agree(journal, findings)
