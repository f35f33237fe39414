"""A journal folder to its sites: read, compute, prepare the pictures, render, write whole."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from journalgen.keeping import CACHE, SITES
from journalgen.languages import load_words
from journalgen.ledgers.figures import Figures
from journalgen.ledgers.money import ReferenceRates
from journalgen.pictures import Recalled, Seen, prepare_again
from journalgen.pictures.model import NOT_MADE, Fault, Picture, Request
from journalgen.plain_data import digest
from journalgen.problems import Problem, Problems, in_order
from journalgen.reading.journal import Reading, read_journal, read_settings
from journalgen.reading.remembered import Remembered
from journalgen.reading.rereading import reread_entry, says_otherwise
from journalgen.reading.settings import FILE as SETTINGS
from journalgen.records import Journal
from journalgen.site.checked import Checked
from journalgen.site.making import make_editions
from journalgen.site.matter import OWNER, PUBLIC, part_slugs
from journalgen.site.memories import Memories
from journalgen.site.pages import Pages
from journalgen.site.said import Said
from journalgen.site.themes import DEFAULT, Theme, ThemeFault, UnknownTheme, find_theme
from journalgen.site.tree import held, put_file
from journalgen.site.units import PICTURES
from journalgen.site.whole_journal import Whole, list_requests, matter_of, picture_problems

TREES: Final = "trees"
"""What is known of the sites, a folder each, in the cache."""


class JournalFaulty(Exception):
    """The journal has errors; no site was written."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("The journal has errors.")
        self.problems = problems


class Order(Struct, frozen=True):
    """What is to be assembled."""

    folder: Path
    on: date
    editions: tuple[str, ...] = (PUBLIC, OWNER)
    theme: str | None = None  # a name or path; the journal's choice where None
    to: Path | None = None  # the folder that gets a folder for each edition; web/ in the journal where None
    leave_out: bool = False  # entries with errors
    pages_only: bool = False  # with such pictures as there are; no photograph is read


class Assembled(Struct, frozen=True):
    """What came of it."""

    sites: tuple[Path, ...]  # the folder of each edition
    problems: tuple[Problem, ...]
    left_out: tuple[str, ...]
    changed: tuple[frozenset[str], ...]  # of each edition, the files that are not as they were, pictures among them
    paths: tuple[str, ...]  # of the sites' folders and files but the pictures, and of the folder of derived pictures
    themes: tuple[str, ...]  # the folders of the theme
    not_made: tuple[Request, ...]  # pictures that are still to be made, the newest last


class _Last(Struct, frozen=True):
    """What the last assembly of a process was made from."""

    reading: Reading
    figures: Figures
    whole: Whole
    theme: Theme


def choose_theme(order: Order) -> Theme:
    """The theme that the order names, else the journal, else the program's own. Raises UnknownTheme or ThemeFault."""
    if order.theme is not None:
        return find_theme(order.theme, order.folder)
    settings = read_settings(order.folder)
    if settings.theme is None:
        return find_theme(DEFAULT, order.folder)
    try:
        return find_theme(settings.theme, order.folder, beside=order.folder)
    except UnknownTheme as fault:
        line = settings.theme_place.line if settings.theme_place else 1
        raise ThemeFault(str(order.folder / SETTINGS), line, str(fault), "Mend the name.") from None


def assemble(
    order: Order,
    reference: ReferenceRates,
    progress: Callable[[int, int], None] | None = None,
    seen: Seen | None = None,
) -> Assembled:
    """Assembles the editions that are asked for; each replaces its previous site in one step.

    `progress` hears of the pictures: how many are done, and of how many. Raises JournalFaulty,
    before any site is touched, if the journal has errors that may not be left out, and UnknownTheme
    or ThemeFault if the theme cannot be used; then, too, every site is as it was. For `seen` see `Assembler`.
    """
    return Assembler(order, reference, seen=seen).assemble(progress)


class Assembler:
    """Assembles one journal as often as it is asked to, and remembers from time to time what need not be done again.

    What one process knows it leaves in the journal's cache for the next; nothing there is believed
    but what this very program wrote.
    """

    def __init__(
        self,
        order: Order,
        reference: ReferenceRates,
        faults: Callable[[], Mapping[Request, Fault]] = dict,
        seen: Seen | None = None,
    ) -> None:
        """Where the order asks for pages only, `faults` says of which photographs no picture can be made.

        `seen` is what the disk told a moment ago; the first assembly does not ask again.
        """
        self.order = order
        self._faults = faults
        self._reference = reference
        self._memories = Memories(order.folder)
        self._last: _Last | None = None
        self._seen = seen or Seen()

    def show_entry(self, file: str) -> Path | None:
        """Puts the page of an entry that was edited on disk at once, before all that may have changed with it.

        `file` is the entry's name in the journal. The page is written whole into the site of the first
        edition that has it; `assemble`, which must follow, renews the rest, and this page if need be. Gives
        the page; None where nothing was written, since there is no site yet or since more has changed than
        one session. Raises OutputFault and ThemeFault as `assemble` does.
        """
        last = self._last
        reading = reread_entry(last.reading, self.order.folder, file) if last else None
        if last is None or reading is None:
            return None
        figures = self._figures_after(last, reading.journal)
        if figures is None:
            return None
        journal = reading.journal
        whole = replace(last.whole, journal=journal)
        edition = OWNER if OWNER in self.order.editions else self.order.editions[0]
        matter = matter_of(whole, figures, edition, self.order.on, self._reference)
        session = next((session for session in matter.figures.sessions if session.place.file == file), None)
        if session is None:
            return None
        page = matter.session_page(session.page)
        contents = Pages(matter, last.theme, load_words(journal.settings.language)).render(page)
        return put_file(self._out / edition, page, contents)

    def _figures_after(self, last: _Last, journal: Journal) -> Figures | None:
        """Those of a journal of which one session is another than in the last; None if there is an error in it."""
        pairs = zip(last.reading.journal.sessions, journal.sessions, strict=True)
        old, new = next((pair for pair in pairs if pair[0] is not pair[1]), (None, None))
        if old is None or new is None or says_otherwise(old, new):
            now = {session.page: session for session in journal.sessions}
            return last.figures.retold(tuple(now[session.page] for session in last.figures.sessions))
        problems = Problems()
        figures = last.figures.after(journal, old, new, problems)
        return None if any(problem.is_error for problem in problems.found) else figures

    @property
    def _out(self) -> Path:
        return self.order.to or self.order.folder / SITES

    @property
    def _cache(self) -> Path:
        return self.order.folder / CACHE

    def assemble(self, progress: Callable[[int, int], None] | None = None) -> Assembled:
        """As the function of this name."""
        try:
            return self._assemble(progress)
        finally:
            self._memories.leave()  # what was read is not read again, whatever stood in the way of a site

    def _assemble(self, progress: Callable[[int, int], None] | None) -> Assembled:
        order = self.order
        theme = choose_theme(order)
        read, checked = self._memories.of(Remembered), self._memories.of(Checked)
        reading, figures, found, left_out = read_sound(order, self._reference, read, checked)
        pictures, remade, missing = self._prepare_pictures(reading.journal, progress)
        problems = in_order([*found, *picture_problems(reading.journal, pictures)])
        if not order.leave_out and any(problem.is_error for problem in problems):
            raise JournalFaulty(problems)
        whole = Whole(
            journal=reading.journal,
            pictures=pictures,
            problems=problems,
            left_out=left_out,
            slugs=part_slugs(reading.journal),
            said=self._memories.of(Said).of(reading.journal.sessions),
        )
        sites = tuple(self._out / edition for edition in order.editions)
        with ExitStack() as stack:
            trees = [stack.enter_context(held(site, _keep_for(site, order.folder))) for site in sites]
            editions = list(zip(order.editions, trees, strict=True))
            ready = make_editions(editions, whole, figures, theme, order.on, self._reference, self._memories.leave)
            for tree, made in zip(trees, ready, strict=True):  # only now that every file is made
                tree.stage(made.files, made.standing, made.pictures, self._source_of, remade)
            for tree, made in zip(trees, ready, strict=True):  # only now that every edition is whole
                tree.put_in_place(made.note)
        if order.to is None and {PUBLIC, OWNER} <= set(order.editions):
            self._memories.of(Recalled).note_taken()
        self._last = _Last(reading, figures, whole, theme)
        paths = [path for tree in trees for path in tree.paths]
        cache = self._cache / PICTURES
        return Assembled(
            sites=sites,
            problems=whole.problems,
            left_out=left_out,
            changed=tuple(tree.changed for tree in trees),
            paths=(*paths, *([str(cache)] if cache.is_dir() else [])),
            themes=tuple(map(str, theme.folders)),
            not_made=missing,
        )

    def _prepare_pictures(
        self, journal: Journal, progress: Callable[[int, int], None] | None
    ) -> tuple[dict[str, Picture | Fault], dict[str, int], tuple[Request, ...]]:
        """The derived picture of every photograph that an edition shows, by its file; the names of those that sites
        must take anew, and since when; and what is not made, the newest last."""
        requests, cache = self._requests(journal), self._cache / PICTURES
        goes_on, recalled = self._memories.has(Recalled), self._memories.of(Recalled)
        make, wanted = not self.order.pages_only, list(requests.values())
        found = prepare_again(wanted, cache, recalled, self._seen, progress=progress, trusting=goes_on, make=make)
        self._seen = Seen()
        answers = {**found.answers, **({} if make else self._faults())}
        missing = tuple(request for request in requests.values() if _is_missing(answers[request]))
        named = {file: answers[request] for file, request in requests.items()}
        remade = {**dict.fromkeys(found.written, time.time_ns()), **recalled.remade}
        return named, {f"{PICTURES}/{name}": since for name, since in remade.items()}, missing

    def _requests(self, journal: Journal) -> dict[str, Request]:
        return list_requests(journal, self.order.folder / "photos", public_only=OWNER not in self.order.editions)

    def _source_of(self, picture: str) -> str:
        """The file to take a picture from, by its name in the site."""
        return str(self._cache / PICTURES / picture.rpartition("/")[2])


def _is_missing(answer: Picture | Fault) -> bool:
    return isinstance(answer, Fault) and answer.kind == NOT_MADE


def _keep_for(site: Path, folder: Path) -> Path:
    """The folder of the cache in which is kept what is known of a site; one in the journal may move with it."""
    home, place = folder.resolve(), site.resolve()
    named = place.relative_to(home) if place.is_relative_to(home) else place
    return folder / CACHE / TREES / digest(str(named).encode("utf-8", "surrogateescape")).hex()


def read_sound(
    order: Order, reference: ReferenceRates, memory: Remembered | None = None, checked: Checked | None = None
) -> tuple[Reading, Figures, tuple[Problem, ...], tuple[str, ...]]:
    """Reads and computes; leaves out entries with errors if the order says so, until none has any."""
    checked = checked or Checked()
    left_out: frozenset[str] = frozenset()
    first: tuple[Problem, ...] = ()
    while True:
        reading = read_journal(order.folder, left_out, memory)
        problems = Problems(list(reading.problems))
        figures = checked.figures_of(reading.journal, reference, order.on, problems)
        errors = [problem for problem in problems.found if problem.is_error]
        first = first or problems.in_order()
        if not errors:
            kept = [p for p in first if p.is_error] + problems.found
            return reading, figures, in_order(kept), tuple(sorted(left_out))
        faulty = {problem.place.file for problem in errors}
        if not order.leave_out or not all(file.startswith("entries/") for file in faulty):
            raise JournalFaulty(problems.in_order())
        left_out |= faulty
