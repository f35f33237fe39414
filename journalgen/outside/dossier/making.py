"""A dossier from beginning to end: read, chosen, told, set, and written whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from journalgen import keeping
from journalgen.editions import PRICES
from journalgen.keeping import CACHE, READ
from journalgen.languages import load_words
from journalgen.ledgers.money import ReferenceRates
from journalgen.ledgers.pairs import Shot
from journalgen.outside.dossier.choosing import choose_for_parts, choose_shots, number_shots, share_of
from journalgen.outside.dossier.document import Paper, make_document
from journalgen.outside.dossier.draft import MACHINE, Draft
from journalgen.outside.dossier.lettering import (
    change_texts,
    letters_of,
    name_letters,
    replace_letters,
    without_unseen,
)
from journalgen.outside.dossier.model import Document, Picture
from journalgen.outside.dossier.scope import find_scope
from journalgen.outside.dossier.setting import CannotSet, set_document, try_letters
from journalgen.outside.dossier.target import CannotMake, refuse_target
from journalgen.pictures import digest_originals, prepare
from journalgen.pictures.model import NOT_MADE, Fault, Request
from journalgen.reading.journal import recall
from journalgen.reading.remembered import Remembered
from journalgen.site.assemble import Order as Assembly
from journalgen.site.assemble import read_sound
from journalgen.site.desk import Teller
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.matter import OWNER, PUBLIC, Matter, part_slugs
from journalgen.site.units import PICTURES as DERIVED
from journalgen.site.whole_journal import Whole, list_requests, matter_of
from journalgen.whole import write_whole

Progress = Callable[[int, int], None]
Bar = Callable[[str], AbstractContextManager[Progress]]
_ROUNDS = 3  # of finding letters that no font at hand shows; some show only in bold or in figures


class Order(Struct, frozen=True):
    """What is asked for."""

    assembly: Assembly  # the journal, the day, and whether entries with errors are left out
    edition: str
    parts: tuple[str, ...] = ()  # in the register's spelling
    assemblies: tuple[str, ...] = ()
    costs: bool | None = None  # None: as the journal has it
    paper: Paper = "a4"
    fonts: Path | None = None  # a folder of fonts, beside those that come with the library


class Made(Struct, frozen=True):
    """What came of it."""

    data: bytes
    not_shown: tuple[tuple[str, str], ...] = ()  # letters that had no sign, with their names
    left_out: tuple[str, ...] = ()  # entries with errors
    gaps: int = 0  # photographs that could not be shown


def write_dossier(
    order: Order,
    target: Path,
    reference: ReferenceRates,
    bar: Bar,
    memory: Remembered | None = None,
    *,
    replace_any: bool = False,
) -> Made:
    """Makes a dossier and gives it its place in one step.

    Raises CannotMake, with nothing written, JournalFaulty, and what the making of pictures raises.
    """
    refuse_target(target, order.assembly.folder, replace=replace_any)
    made = make_dossier(order, reference, bar, memory)
    refuse_target(target, order.assembly.folder, replace=replace_any)  # it took a while
    try:
        write_whole(target, made.data)
    except OSError as fault:
        raise CannotMake(
            f"{target} could not be written: {fault.strerror or fault}. Nothing was left there. See to the disk, or "
            "choose another place with --to."
        ) from None
    return made


class _Told(Struct, frozen=True):
    """A dossier before it has pages."""

    draft: Draft
    shots: tuple[Shot, ...]  # that it is about
    left_out: tuple[str, ...]


def tell_dossier(order: Order, reference: ReferenceRates, bar: Bar, memory: Remembered | None = None) -> Document:
    """What a dossier says, before it has pages. Raises as `write_dossier` does."""
    told = _tell(order, reference, bar, memory)
    return _clean(make_document(told.draft, told.shots, order.paper))


def make_dossier(order: Order, reference: ReferenceRates, bar: Bar, memory: Remembered | None = None) -> Made:
    """The dossier's bytes. Raises as `write_dossier` does."""
    told = _tell(order, reference, bar, memory)
    made = _set(told.draft, told.shots, order, order.assembly.folder / CACHE / DERIVED, bar)
    return replace(made, left_out=told.left_out)


def _tell(order: Order, reference: ReferenceRates, bar: Bar, memory: Remembered | None) -> _Told:
    folder = order.assembly.folder
    matter, whole = _read(order, reference, memory)
    words = load_words(matter.journal.settings.language)
    tell = Teller(matter, words, Formats(matter.journal.settings, words), Index(matter))
    scope = find_scope(matter.journal, tell.index.assemblies, order.parts, order.assemblies)
    every = tuple(tell.index.shots.values())
    meant = frozenset(scope.parts)
    shots = every if scope.whole else tuple(s for s in every if not meant.isdisjoint(s.photo.parts))
    chosen = _choose(tell, scope.whole, scope.parts)
    cache = folder / CACHE / DERIVED
    draft = Draft(
        tell=_with_pictures(tell, order, whole, chosen, cache, bar),
        scope=scope,
        sessions=scope.sessions(matter.figures.sessions),
        numbers=number_shots(every),
        chosen=chosen,
        digests=_digest(shots, folder, cache, bar),
        money=_tells_costs(order, matter),
    )
    return _Told(draft, shots, whole.left_out)


def _read(order: Order, reference: ReferenceRates, memory: Remembered | None) -> tuple[Matter, Whole]:
    """The edition's matter, before there are pictures; an entry with errors is left out if the order says so."""
    folder = order.assembly.folder
    known = memory or recall(folder)
    reading, figures, problems, left_out = read_sound(order.assembly, reference, known)
    if known.changed:
        known.changed = False
        keeping.save(folder / CACHE / READ, known)
    journal = reading.journal
    missing = Fault(NOT_MADE, "Its picture is not made yet.")
    whole = Whole(
        journal=journal,
        pictures={photo.file: missing for session in journal.sessions for photo in session.photos},
        problems=problems,
        left_out=left_out,
        slugs=part_slugs(journal),
        said={session.page: "" for session in journal.sessions},  # a dossier tells bodies in its own way
    )
    return matter_of(whole, figures, order.edition, order.assembly.on, reference), whole


def _choose(tell: Teller, whole: bool, parts: tuple[str, ...]) -> dict[str, tuple[Shot, ...]]:
    figures = tell.matter.figures
    chosen = choose_for_parts(parts, figures.shots, figures.pairs)
    own = [Shot(session, photo) for session in figures.sessions for photo in session.photos if not photo.parts]
    if whole and own:
        ends = [shot for shot in own if shot.photo.shows == "before"][:1]
        ends += [shot for shot in own if shot.photo.shows == "after"][-1:]
        room = share_of(1) - len(ends)
        files = {shot.photo.file for shot in ends}
        rest = choose_shots([shot for shot in own if shot.photo.file not in files], None, room)
        files |= {shot.photo.file for shot in rest}
        chosen[MACHINE] = tuple({s.photo.file: s for s in own if s.photo.file in files}.values())
    return chosen


def _with_pictures(
    tell: Teller, order: Order, whole: Whole, chosen: dict[str, tuple[Shot, ...]], cache: Path, bar: Bar
) -> Teller:
    """With the derived pictures of what is shown; of nothing else is one made."""
    photos = order.assembly.folder / "photos"
    requests = list_requests(whole.journal, photos, public_only=order.edition == PUBLIC)
    wanted: dict[str, Request] = {shot.photo.file: requests[shot.photo.file] for row in chosen.values() for shot in row}
    with bar("pictures") as progress:
        answers = prepare(list(wanted.values()), cache, progress=progress).answers
    pictures = {**tell.matter.pictures, **{file: answers[request] for file, request in wanted.items()}}
    matter = replace(tell.matter, pictures=pictures)
    return Teller(matter, tell.words, tell.formats, Index(matter))


def _digest(shots: tuple[Shot, ...], folder: Path, cache: Path, bar: Bar) -> dict[str, str | Fault]:
    files = {shot.photo.file: folder / "photos" / shot.photo.file for shot in shots}
    with bar("digests") as progress:
        found = digest_originals(files.values(), cache, progress)
    return {file: found[path] for file, path in files.items()}


def _tells_costs(order: Order, matter: Matter) -> bool:
    if order.edition != OWNER:
        return PRICES not in matter.hidden and order.costs is not False
    return matter.journal.settings.statement.costs if order.costs is None else order.costs


def _set(draft: Draft, shots: tuple[Shot, ...], order: Order, cache: Path, bar: Bar) -> Made:
    """Sets the document, with their numbers in place of letters for which there is no sign."""
    first = _clean(make_document(draft, shots, order.paper))
    with bar("pages"):
        missing = try_letters(letters_of(_texts(first)), order.fonts)
        for _round in range(_ROUNDS):
            document = _without(missing, draft, shots, order.paper) if missing else first
            files = {cache / Path(p.file).name for p in pictures_of(document) if p.file}
            try:
                data = set_document(document, sorted(files), order.fonts)
            except CannotSet as fault:
                if not fault.letters - missing:
                    raise CannotMake(f"The pages could not be set: {fault}. Nothing was written.") from None
                missing |= fault.letters
            except OSError as fault:
                raise CannotMake(
                    f"The pages could not be set: {fault.strerror or fault}. Nothing was written; see to the disk "
                    "that holds temporary files."
                ) from None
            else:
                gaps = sum(picture.file is None for picture in pictures_of(document))
                return Made(data, name_letters(missing), gaps=gaps)
    raise CannotMake("The pages could not be set: letters are left that no font shows. Nothing was written.")


def _without(missing: frozenset[str], draft: Draft, shots: tuple[Shot, ...], paper: Paper) -> Document:
    """The document with their numbers in place of some letters, which it then tells of."""
    document = make_document(replace(draft, not_shown=name_letters(missing)), shots, paper)
    return change_texts(_clean(document), replace_letters(missing))


def _clean(document: Document) -> Document:
    return change_texts(document, without_unseen)


def _texts(document: Document) -> str:
    texts: list[str] = []

    def note(text: str) -> str:
        texts.append(text)
        return text

    change_texts(document, note)
    return "".join(texts)


def pictures_of(document: Document) -> Iterator[Picture]:
    """Every picture of a document, in order."""
    rows = [document.hero] if document.hero else []
    blocks = [*rows, *(block for section in document.sections for block in section.blocks)]
    for block in blocks:
        yield from getattr(block, "pictures", ())
