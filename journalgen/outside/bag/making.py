"""A bag from beginning to end: assembled, copied, described, read back, and only then given its name."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Final

from journalgen.alone import Taken, alone
from journalgen.editions import public_edition
from journalgen.house import themes_folder
from journalgen.keeping import CACHE
from journalgen.ledgers.money import ReferenceRates
from journalgen.outside.bag.checking import check_bag
from journalgen.outside.bag.earlier import UNKNOWN, Earlier
from journalgen.outside.bag.labelling import describe_bag
from journalgen.outside.bag.model import Count, Held, Progress
from journalgen.outside.bag.order import Done, Order
from journalgen.outside.bag.payload import JOURNAL, README, Item, Lost, Payload, list_journal, list_made, names_to_mind
from journalgen.outside.bag.readme import Told, render_readme
from journalgen.outside.bag.targets import ZIP, CannotPreserve, being_made, put_in_place
from journalgen.outside.bag.writing import (
    Digests,
    NotKept,
    copy_file,
    digest_file,
    free_space,
    write_file,
    zip_folder,
)  # fmt: skip
from journalgen.outside.dossier.making import Order as Dossier
from journalgen.outside.dossier.making import make_dossier
from journalgen.outside.dossier.target import CannotMake
from journalgen.reading.journal import Reading
from journalgen.records import Journal
from journalgen.site import assemble as site
from journalgen.site.matter import OWNER
from journalgen.terminal import spell_size
from journalgen.whole import settle_folder, write_whole

_PLAIN: Final = "plain"
_DOSSIER: Final = "dossier.pdf"
_STAGE: Final = "preserve"
"""In the cache; the site for a bag is renewed there, like any other."""

_BLOCK: Final = 4096
_SPARE_ROOM: Final = 1 << 20

Bar = Callable[[str], AbstractContextManager[Progress]]


def preserve(order: Order, reading: Reading, reference: ReferenceRates, bar: Bar, pictures: Bar) -> Done:
    """Makes a bag of a journal. Nothing has its name before all of it was read back from the disk and found the same.

    Raises CannotPreserve, with nothing left behind, and what `assemble` raises but for errors of the journal.
    """
    _refuse_same_name(order)
    run = _Run(order, Done(order.target), bar)
    with _alone_in(order.journal):
        run.assemble(reference, pictures)
        try:
            run.list_items()
            run.refuse_without_room()
            with being_made(order.target) as unfinished:
                run.make(unfinished, reading.journal)
        except OSError as fault:
            raise CannotPreserve(
                f"The bag could not be written to {order.target}: {fault.strerror or fault}. Nothing was left there. "
                "See to the disk, or choose another with --to."
            ) from None
        except KeyboardInterrupt:
            if not order.target.exists():  # else it came to its place in that very moment, and is whole
                raise
    settle_folder(order.target.parent)
    return run.done


def _refuse_same_name(order: Order) -> None:
    """What is kept in which bag is told by their names."""
    since = order.since
    if isinstance(since, Earlier) and order.name in {since.name, *(row.bag for row in since.held.values())}:
        raise CannotPreserve(
            f"A bag that this one builds on is called {order.name} too. Choose another name with --to."
        )


@contextmanager
def _alone_in(journal: Path) -> Iterator[None]:
    with ExitStack() as stack:
        try:
            (journal / CACHE).mkdir(exist_ok=True)
            stack.enter_context(alone(journal / CACHE / "preserve.lock"))
        except Taken:
            raise CannotPreserve("This journal is being preserved by another run. Wait for it to end.") from None
        except OSError as fault:
            raise CannotPreserve(f"{journal / CACHE} cannot be written: {fault.strerror}. Nothing was made.") from None
        yield


class _Run:
    """One bag on its way."""

    def __init__(self, order: Order, done: Done, bar: Bar) -> None:
        self.order = order
        self.done = done
        self.bar = bar
        self.site: Path | None = None  # as it was assembled
        self.dossier: Path | None = None
        self.items: list[Item] = []
        self.made: dict[str, Digests] = {}  # what is in this bag
        self.held: dict[str, Held] = {}  # all that the journal holds

    def assemble(self, reference: ReferenceRates, pictures: Bar) -> None:
        """Renews the plain site in the cache. With errors but in entries there is none, and that is kept in mind."""
        order, stage = self.order, self.order.journal / CACHE / _STAGE
        theme = str(themes_folder() / _PLAIN)
        wanted = site.Order(order.journal, order.on, (order.edition,), theme, stage, leave_out=True)
        try:
            with pictures("pictures") as progress:
                done = site.assemble(wanted, reference, progress)
        except site.JournalFaulty as faulty:
            self.done.without_site = tuple(problem for problem in faulty.problems if problem.is_error)
            if order.edition != OWNER:
                raise CannotPreserve(
                    f"The journal has errors, so there is no public edition to preserve. Nothing was made. "
                    f"Mend them first; see: journalgen inspect {order.journal}"
                ) from None
        else:
            self.done.left_out = done.left_out
            self.site = done.sites[0]
            self.make_dossier(wanted, reference, pictures, stage / _DOSSIER)

    def make_dossier(self, wanted: site.Order, reference: ReferenceRates, pictures: Bar, file: Path) -> None:
        """Lays the dossier beside the site. Without one the bag still holds all that it is made from."""
        try:
            made = make_dossier(Dossier(wanted, self.order.edition), reference, pictures)
            write_whole(file, made.data)
        except CannotMake as fault:
            self.done.without_dossier = str(fault)
        except OSError as fault:
            self.done.without_dossier = f"The dossier could not be written: {fault.strerror or fault}."
        else:
            self.dossier = file

    def list_items(self) -> None:
        """The journal's own files are the owner's: they hold what the public edition is made without."""
        found = list_journal(self.order.journal) if self.order.edition == OWNER else Payload()
        self.done.lost += found.lost
        self.done.hidden, self.done.renamed = found.hidden, found.renamed
        self.done.names = names_to_mind(found.items)
        made = list_made(self.site, self.order.edition, self.dossier) if self.site else []
        self.items = [*found.items, *made]

    def refuse_without_room(self) -> None:
        before = self.order.since.held if isinstance(self.order.since, Earlier) else {}
        new = [item for item in self.items if item.name not in before or before[item.name].length != item.size]
        needed = sum(-(-item.size // _BLOCK) * _BLOCK for item in new) * (2 if self.order.is_zip else 1) + _SPARE_ROOM
        home = next(parent for parent in self.order.target.absolute().parents if parent.is_dir())
        free = free_space(home)
        if needed > free:
            twice = ", since a zip is packed from a folder beside it" if self.order.is_zip else ""
            raise CannotPreserve(
                f"There is not enough room: {spell_size(needed)} are needed{twice}, and {spell_size(free)} are free in "
                f"{home}. Nothing was written. Make room, or choose another disk with --to."
            )

    def make(self, unfinished: Path, journal: Journal) -> None:
        folder = unfinished / self.order.name
        (folder / "data").mkdir(parents=True)
        self.copy(folder)
        shown = journal if self.order.edition == OWNER else public_edition(journal)
        self.keep_made(folder, README, render_readme(self._told(shown)))
        self.describe(folder, shown)
        finished = self.pack(unfinished, folder) if self.order.is_zip else folder
        self.read_back(finished)
        put_in_place(finished, self.order.target)

    def copy(self, folder: Path) -> None:
        with self.bar("copying") as progress:
            count, end = Count(progress, sum(item.size for item in self.items)), 0
            for item in self.items:
                self.keep(folder, item, count.add)
                end += item.size
                count.reach(end)  # however often the file was read, and however much of it

    def keep(self, folder: Path, item: Item, tell: Callable[[int], None]) -> None:
        """Copies a file, unless an earlier bag has it."""
        try:
            bag = self._bag_that_has(item, tell)
            if bag is None:
                self.made[item.name] = copy_file(
                    item.source, folder / item.name, tell, settle=not self.order.is_zip
                )  # fmt: skip
                self._hold(item.name, self.made[item.name], item.changed, self.order.name)
        except NotKept as fault:
            self.done.lost.append(Lost(item.name.removeprefix(JOURNAL), str(fault)))

    def _bag_that_has(self, item: Item, tell: Callable[[int], None]) -> str | None:
        """The bag in which a file lies as it is now; None if it is new. It is held then."""
        since = self.order.since
        if isinstance(since, Earlier):
            row = since.held.get(item.name)
            if row is None or row.length not in (UNKNOWN, item.size):
                return None
            digests = digest_file(item.source, tell)
            bag = row.bag if digests.sha512 == row.digest else None
        elif since is not None and item.changed is not None and item.touched < self._begin_of(since):
            digests, bag = digest_file(item.source, tell), "-"
        else:
            return None
        if bag is not None:
            self.done.kept_before += 1
            self._hold(item.name, digests, item.changed, bag)
        return bag

    def _begin_of(self, day: date) -> int:
        return int(datetime.combine(day, time(), self.order.now.tzinfo).timestamp()) * 1_000_000_000

    def _hold(self, name: str, digests: Digests, changed: int | None, bag: str) -> None:
        when = "-" if changed is None else f"{datetime.fromtimestamp(changed // 1_000_000_000, UTC):%Y-%m-%dT%H:%M:%SZ}"
        self.held[name] = Held(name, digests.sha512, digests.length, when, bag)

    def keep_made(self, folder: Path, name: str, contents: bytes) -> None:
        self.made[name] = write_file(folder / name, contents, settle=not self.order.is_zip)
        self._hold(name, self.made[name], None, self.order.name)

    def _told(self, shown: Journal) -> Told:
        order = self.order
        return Told(
            settings=shown.settings,
            edition=order.edition,
            made=order.now.date(),
            on=order.on,
            builds_on=order.builds_on,
            lost=self.done.lost,
            renamed=self.done.renamed,
            without_site=bool(self.done.without_site),
            dossier=self.dossier is not None,
        )

    def describe(self, folder: Path, shown: Journal) -> None:
        """Writes the tag files, and counts."""
        self.done.files, self.done.octets = len(self.made), sum(made.length for made in self.made.values())
        if isinstance(self.order.since, Earlier):
            self.done.gone = len(self.order.since.held.keys() - self.held.keys())
        for name, contents in describe_bag(self.order, self.done, shown, self.made, tuple(self.held.values())):
            write_file(folder / name, contents, settle=not self.order.is_zip)
        if not self.order.is_zip:
            for inner in sorted({folder, *(path.parent for path in folder.rglob("*"))}):
                settle_folder(inner)

    def pack(self, unfinished: Path, folder: Path) -> Path:
        """The same as a zip."""
        names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
        sizes = {name: (folder / name).stat().st_size for name in names}
        journal_files = {item.name for item in self.items if item.changed is not None}
        packed = unfinished / f"{self.order.name}{ZIP}"
        midnight = datetime.combine(self.order.now.date(), time(), self.order.now.tzinfo)
        with self.bar("packing") as progress:
            tell = Count(progress, sum(sizes.values())).add
            zip_folder(folder, names, packed, self.order.name, midnight, frozenset(names) - journal_files, tell)
        return packed

    def read_back(self, bag: Path) -> None:
        """Reads all of it from the disk once more. Raises CannotPreserve if anything is not what was copied."""
        with self.bar("reading back") as progress:
            verdict = check_bag(bag, progress)
        if verdict.findings:
            names = "; ".join(f"{finding.path or bag.name}: {finding.message}" for finding in verdict.findings[:3])
            raise CannotPreserve(
                f"What was written is not what was read ({names}) It was thrown away. Do not trust that disk."
            )
