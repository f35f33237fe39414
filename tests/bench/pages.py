"""Pages from nothing on one core, beside what the two libraries that make them take for the same work."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment
from msgspec import Struct

from journalgen.keeping import CACHE
from journalgen.languages import load_words
from journalgen.ledgers.figures import compute
from journalgen.markup import parser
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.site import assemble
from journalgen.site.matter import part_slugs
from journalgen.site.pages import Pages
from journalgen.site.said import Said
from journalgen.site.templates import OPTIONS, Templates
from journalgen.site.whole_journal import Whole, matter_of
from tests.bench.journals import ON, Size, write_journal
from tests.bench.rows import PROGRAM, Row, in_turn, run
from tests.memory import MEMORY

SIZE: Final = Size(sessions=1000, parts=300)
_TIMES: Final = 3


class _Call(Struct):
    """A template, or one of its macros, with what it was given."""

    template: str
    macro: str | None
    values: tuple[Any, ...]
    named: Mapping[str, Any]


def measure(size: Size = SIZE) -> Iterator[Row]:
    """Both editions, from reading to the last file written, as a whole process on one core.

    In memory where the system has a folder there: rendering writes nothing, and what some disks take for thousands
    of small files, less or more from one minute to the next, is no part of the comparison.
    """
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        journal = Path(folder) / "journal"
        write_journal(journal, size)

        def ours() -> float:
            for made in ("web", CACHE):
                shutil.rmtree(journal / made, ignore_errors=True)
            return run([*PROGRAM, "assemble", journal, "--on", ON], core=0).seconds

        seconds, bare = in_turn(_TIMES, ours, lambda: _bare(journal))
        what = f"{size.sessions} sessions of {size.characters} characters, {size.parts} parts"
        yield Row(
            f"pages from nothing, one core, {what}",
            seconds,
            "s",
            2,
            "bare rendering: each body by markdown-it-py, each template by Jinja, for each edition",
            bare,
        )


def _bare(journal: Path) -> float:
    """Seconds for the two editions, without reading, figures, or what the templates are given."""
    on, rates = date.fromisoformat(ON), EuropeanCentralBank()
    order = assemble.Order(journal, on)
    reading = read_journal(journal)
    figures = compute(reading.journal, rates, on, Problems())
    whole = Whole(
        reading.journal, {}, reading.problems, (), part_slugs(reading.journal), Said().of(reading.journal.sessions)
    )
    seconds = 0.0
    for edition in order.editions:
        matter = matter_of(whole, figures, edition, on, rates)
        pages = Pages(matter, assemble.choose_theme(order), load_words("en"))
        calls = _record(pages)
        environment = _plain(pages.desk.templates)
        start = time.perf_counter()
        for call in calls:
            _repeat(environment, call)
        markdown = parser()
        for session in matter.figures.sessions:
            markdown.render(session.body)
        seconds += time.perf_counter() - start
    return seconds


def _record(pages: Pages) -> list[_Call]:
    """What the templates are asked for while every page is made."""
    calls: list[_Call] = []
    templates = pages.desk.templates
    render, macro = templates.render, templates.macro

    def noting(name: str, context: Mapping[str, object]) -> str:
        calls.append(_Call(name, None, (), dict(context)))
        return render(name, context)

    def noting_macro(template: str, name: str, *values: object, **named: object) -> object:
        calls.append(_Call(template, name, values, named))
        return macro(template, name, *values, **named)

    templates.render = noting  # type: ignore[method-assign]
    templates.macro = noting_macro  # type: ignore[method-assign,assignment]
    for file in pages.files:
        pages.render(file)
    for _ in pages.more():
        pass
    return calls


def _plain(templates: Templates) -> Environment:
    """The library's plain environment, without a sandbox."""
    own = templates.environment
    plain = Environment(loader=own.loader, autoescape=True, **OPTIONS)
    plain.newstyle_gettext = own.newstyle_gettext  # type: ignore[attr-defined]  # of the extension for translations
    plain.filters.update(own.filters)
    plain.globals.update(own.globals)
    plain.policies.update(own.policies)
    return plain


def _repeat(environment: Environment, call: _Call) -> None:
    template = environment.get_template(call.template)
    if call.macro is None:
        template.render(call.named)
    else:
        getattr(template.module, call.macro)(*call.values, **call.named)
