"""`preserve`: the journal kept for later, as a bag, and bags checked."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from journalgen import interrupts
from journalgen.verbs.common import JOURNAL, JSON, ON, fail, nothing_written, read, reference_rates

if TYPE_CHECKING:
    from journalgen.outside.bag.earlier import Earlier


@click.command(short_help="Keeps the journal in a bag for later, or checks a bag.")
@JOURNAL
@click.option(
    "--to", type=click.Path(path_type=Path), metavar="DIR_OR_ZIP",
    help="The bag to make, or a folder to put it into; beside the journal where left out.",
)  # fmt: skip
@click.option("--zip", "as_zip", is_flag=True, help="Make one file of it.")
@click.option(
    "--edition", type=click.Choice(["owner", "public"]), default="owner", show_default=True,
    help="owner: everything. public: the public site and its tables, to give away.",
)  # fmt: skip
@click.option(
    "--since", metavar="BAG_OR_DATE", help="Only what is new or changed since an earlier bag, or since this day."
)
@ON
@click.option(
    "--check", "checked", type=click.Path(path_type=Path, exists=True), metavar="BAG",
    help="Make nothing; say whether this bag, a folder or a zip, is whole.",
)  # fmt: skip
@JSON
@click.pass_context
def preserve(
    context: click.Context,
    journal: Path,
    to: Path | None,
    as_zip: bool,
    edition: str,
    since: str | None,
    on: date | None,
    checked: Path | None,
    as_json: bool,
) -> None:
    """Keeps the journal in a bag (BagIt 1.0, RFC 8493), or checks any bag.

    The bag holds the journal as it is, the site in the plain theme, and its tables, with digests of
    everything. All of it is read back before it counts; nothing is written over.

    Example: journalgen preserve my-trolley --to /media/disk
    """
    if checked is not None:
        given = [name for name in ("journal", "to", "as_zip", "edition", "since", "on") if _was_given(context, name)]
        if given:
            raise click.UsageError("--check takes a bag and nothing else but --json.")
        _check(checked, as_json=as_json)
    else:
        with nothing_written():
            _make(journal, to, as_zip, edition, since, on, as_json)


def _was_given(context: click.Context, name: str) -> bool:
    return context.get_parameter_source(name) is not click.core.ParameterSource.DEFAULT


def _check(bag: Path, *, as_json: bool) -> None:
    from functools import partial

    from journalgen.outside.bag.chain import check_chain
    from journalgen.outside.bag.saying import chain_json, chain_lines, note_lines
    from journalgen.terminal import progress_bar, say, say_json

    try:
        chain = check_chain(bag, partial(progress_bar, octets=True))
    except KeyboardInterrupt:
        fail("Interrupted; the bag was not checked to the end.", interrupts.STATUS)
    if as_json:
        say_json(_visible(chain_json(chain)))
    else:
        for line in chain_lines(chain):
            say(_printable(line), err=False)
    for line in note_lines(chain):
        say(_printable(line))
    if not chain.is_whole:
        raise SystemExit(1)


def _make(
    journal: Path, to: Path | None, as_zip: bool, edition: str, since: str | None, on: date | None, as_json: bool
) -> None:  # fmt: skip
    from functools import partial

    from journalgen.outside.bag.making import preserve as make
    from journalgen.outside.bag.order import Order
    from journalgen.outside.bag.saying import done_json, done_lines
    from journalgen.outside.bag.targets import CannotPreserve, choose_target
    from journalgen.pictures import Interrupted, PicturesInterrupted
    from journalgen.site.manifest import OutputFault
    from journalgen.site.themes import ThemeFault
    from journalgen.terminal import progress_bar, say, say_json

    reading = read(journal)
    settings = reading.journal.settings
    now = datetime.now(settings.time_zone)
    try:
        target = choose_target(journal, settings.title, now.date(), to, is_zip=as_zip, is_public=edition == "public")
        order = Order(journal, target, edition, on or now.date(), now, _read_since(since, edition))
        done = make(order, reading, reference_rates(), partial(progress_bar, octets=True), progress_bar)
    except Interrupted as stop:
        fail(f"{stop} No bag was made.", interrupts.STATUS)
    except (CannotPreserve, OutputFault, PicturesInterrupted, ThemeFault) as fault:
        fail(_printable(str(fault)))
    if as_json:
        say_json(_visible(done_json(done)))
    else:
        say(_printable(str(done.bag)), err=False)
    for line in done_lines(done, str(journal)):
        say(_printable(line))
    if not done.is_all:
        raise SystemExit(1)


def _read_since(text: str | None, edition: str) -> Earlier | date | None:
    """An earlier bag, or a day."""
    from journalgen.arguments import read_as
    from journalgen.outside.bag.earlier import read_earlier
    from journalgen.reading.dates import parse_day

    if text is None:
        return None
    return read_earlier(Path(text), edition) if Path(text).exists() else read_as(parse_day, text, "--since")


def _printable(line: str) -> str:
    from journalgen.reading.texts import visible
    from journalgen.terminal import safe

    return safe(visible(line).replace("\n", "\\n"))


def _visible(value: object) -> object:
    """Data for JSON in which every name is text."""
    from journalgen.reading.texts import visible

    if isinstance(value, dict):
        return {key: _visible(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_visible(inner) for inner in value]
    return visible(value) if isinstance(value, str) else value
