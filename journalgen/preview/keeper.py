"""Renews the previewed site at every change: the edited page first, then what depends on it."""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from threading import Thread
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from journalgen.columns import cut
from journalgen.keeping import CACHE
from journalgen.ledgers.money import ReferenceRates
from journalgen.pointing import Sources
from journalgen.preview.changes import PAINTED, Changes
from journalgen.preview.news import News, Shown, SourceLine
from journalgen.preview.painter import Painter
from journalgen.problems import Problem
from journalgen.reading.journal import NoJournal
from journalgen.reading.settings import FILE as SETTINGS
from journalgen.site.assemble import Assembled, Assembler, JournalFaulty, Order
from journalgen.site.manifest import OutputFault
from journalgen.site.themes import ThemeFault, UnknownTheme
from journalgen.site.units import PICTURES
from journalgen.values import Place

_ENTRIES: Final = "entries/"
_ENTRY: Final = ".md"
_AROUND: Final = 1  # lines shown before and after the faulty one
_LONGEST_LINE: Final = 240  # columns of a line that are shown
_LONG: Final = 5.0  # seconds, after which it is asked whether the journal is still there, and which day it is

Told = Callable[["Renewed"], None]


_FIGURES: Final = re.compile(r"[0-9][0-9.,:]*")
"""A warning in which only a figure is another is the same one."""


class Renewed(Struct, frozen=True):
    """One turn of the keeper, for whoever tells of it."""

    changed: int = 0  # files but pictures, in all editions
    pictures: int = 0  # that are still to be made
    problems: Sequence[Problem] = ()  # that are in the way
    fault: str | None = None  # what is, where it is no problem of the journal
    mended: bool = False  # whether something was in the way before
    warnings: Sequence[Problem] = ()  # that were not there before the change


class _Page(Struct, frozen=True):
    """A page that was shown before all that depends on the change was renewed."""

    path: Path
    edition: str
    name: str  # in the site
    contents: bytes


class Keeper:
    """Keeps the sites of an order, and the news of them, up to date until it is ended."""

    def __init__(
        self,
        order: Order,
        reference: ReferenceRates,
        today: Callable[[], date],
        news: News,
        changes: Changes,
        told: Told,
    ) -> None:
        self._painter = Painter(order.folder / CACHE / PICTURES, changes.poke)
        self._reference = reference
        self._assembler = Assembler(replace(order, pages_only=True), reference, self._painter.faults)
        self._today = today
        self._news = news
        self._changes = changes
        self._told = told
        self._ended = False
        self._was_there = True
        self._turned = False  # since memory was last looked through
        self._wrong: object = None  # what was said to be in the way
        self._warned: frozenset[str] | None = None  # what it was warned of; None at first

    def run(self) -> None:
        """Renews once, and then at every change, until `end` is called from another thread."""
        painting = Thread(target=self._painter.run, name="pictures")
        painting.start()
        try:
            self._turn(frozenset())
            while not self._ended:
                # What is known of the journal stays. To look through it for rings takes a tenth of a second, and would
                # fall into the middle of some change; so it is done when nothing has changed for a while.
                gc.freeze()
                changed = self._changes.wait(_LONG)
                if self._is_there() != self._was_there:
                    self._changes.begin_again()
                    self._turn(frozenset())
                elif changed or (self._was_there and self._today() != self._assembler.order.on):
                    self._turn(changed)
                elif self._turned:
                    self._turned = False
                    gc.unfreeze()
                    gc.collect()
        finally:
            self._painter.end()
            painting.join()

    def end(self) -> None:
        """Ends the run soon; what was finished of the pictures is kept."""
        self._ended = True
        self._painter.end()
        self._changes.end()

    def _is_there(self) -> bool:
        return (self._assembler.order.folder / SETTINGS).is_file()

    def _turn(self, changed: frozenset[str]) -> None:
        self._turned = True
        self._was_there = self._is_there()
        try:
            self._renew(changed)
        except JournalFaulty as faulty:
            errors = [problem for problem in faulty.problems if problem.is_error]
            sources = Sources(self._assembler.order.folder)
            self._news.tell(problems=tuple(_shown(problem, sources) for problem in errors))
            if self._wrong != errors:  # else it was said already
                self._told(Renewed(problems=errors))
            self._wrong = errors
            self._show_what_is_sound()
        except ThemeFault as fault:
            file = Path(fault.file)
            lines = _source(Sources(file.parent), Place(file.name, fault.line))
            self._fail(Shown(fault.file, fault.line, fault.message, fault.remedy, lines), str(fault))
        except NoJournal:
            gone = f"There is no journal at {self._assembler.order.folder} any more."
            self._fail(Shown("", 0, gone, "Put it back, and the preview goes on."), gone)
        except UnknownTheme as fault:
            self._fail(Shown(SETTINGS, 1, str(fault), "Mend the name."), str(fault))
        except (OutputFault, OSError) as fault:
            self._fail(Shown("", 0, str(fault), "Mend this, then save any entry."), str(fault))

    def _fail(self, shown: Shown, fault: str) -> None:
        self._news.tell(problems=(shown,))
        if self._wrong != fault:
            self._told(Renewed(fault=fault))
        self._wrong = fault

    def _renew(self, changed: frozenset[str]) -> None:
        assembler, today = self._assembler, self._today()
        if assembler.order.on != today:
            assembler.order = replace(assembler.order, on=today)
        shown: _Page | None = None
        if len(changed) == 1 and (file := next(iter(changed))).startswith(_ENTRIES) and file.endswith(_ENTRY):
            shown = self._show(file)
        done = assembler.assemble()
        self._changes.follow_themes(done.themes)
        if not self._painter.fault or changed != {PAINTED}:  # else it would fail for ever
            self._painter.ask(done.not_made)
        self._tell(done, shown)

    def _show_what_is_sound(self) -> None:
        """Makes a site without the entries that have errors where there is none at all yet."""
        order = self._assembler.order
        if order.to and all((order.to / edition / "index.html").is_file() for edition in order.editions):
            return
        sound = Assembler(replace(order, leave_out=True), self._reference, self._painter.faults)
        with suppress(JournalFaulty):  # errors that are in no entry
            done = sound.assemble()
            self._painter.ask(done.not_made)
            self._news.tell(changed=_by_edition(done), pictures=len(done.not_made))

    def _show(self, file: str) -> _Page | None:
        path = self._assembler.show_entry(file)
        if path is None:
            return None
        site = path.parent.parent
        page = _Page(path, site.name, path.relative_to(site).as_posix(), path.read_bytes())
        self._news.tell(changed={page.edition: [page.name]})
        return page

    def _tell(self, done: Assembled, shown: _Page | None) -> None:
        changed = _by_edition(done)
        if shown and shown.path.is_file() and shown.path.read_bytes() == shown.contents:
            changed[shown.edition] -= {shown.name}  # the browser has it already
        stopped = self._painter.fault
        problems = (Shown("", 0, stopped, "See to it, then save any entry."),) if stopped else ()
        self._news.tell(changed=changed, problems=problems, pictures=len(done.not_made))
        pages = sum(not name.startswith(f"{PICTURES}/") for files in changed.values() for name in files)
        warnings = {
            _FIGURES.sub("0", f"{p.place.file} {p.rule} {p.message}"): p for p in done.problems if not p.is_error
        }
        new = [] if self._warned is None else [p for what, p in warnings.items() if what not in self._warned]
        self._warned = frozenset(warnings)
        self._told(Renewed(pages, len(done.not_made), mended=self._wrong is not None, warnings=new))
        self._wrong = None


def _shown(problem: Problem, sources: Sources) -> Shown:
    place = problem.place
    return Shown(place.file, place.line, problem.message, problem.remedy, _source(sources, place))


def _by_edition(done: Assembled) -> dict[str, frozenset[str]]:
    return {site.name: files for site, files in zip(done.sites, done.changed, strict=True)}


def _source(sources: Sources, place: Place) -> tuple[SourceLine, ...]:
    """The faulty line, with those beside it."""
    return tuple(
        SourceLine(number, cut(text, _LONGEST_LINE), number == place.line)
        for number, text in sources.around(place, _AROUND)
    )
