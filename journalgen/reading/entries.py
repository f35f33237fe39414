"""One entry's text to a session, its problems reported; names are still as the person spelt them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import PurePosixPath
from typing import Any, Final, TypeVar

from msgspec import Struct

from journalgen.problems import Problems
from journalgen.reading import shapes
from journalgen.reading.amounts import split_use, split_uses
from journalgen.reading.bodies import read_blocks
from journalgen.reading.dates import from_file_name
from journalgen.reading.fields import as_name, as_photo_file
from journalgen.reading.trees import Node, Row, Table, Text, is_empty, parse_tree
from journalgen.reading.unreadable import Unreadable
from journalgen.records import Decision, Found, Measure, PairChoice, Photo, Purchase, Session, Use, WorkLine
from journalgen.values import Body, Place

_NEARLY: Final = re.compile(r"[-\u2010-\u2015\u2212]+")
_KEY: Final = re.compile(r"\s*([^\W\d][\w ]*?)\s*:(?:\s|$)")
_TELLING: Final = ("date", "private")
"""Keys that are known for such however they are written; of the others a text may well begin with one in capitals."""

S = TypeVar("S", bound=shapes.Shape)
R = TypeVar("R")


class _Reader(Struct, frozen=True):
    """What reading one entry needs at hand."""

    file: str
    home: str  # currency
    problems: Problems

    def lines(self, node: Node | None, shape: type[S], make: Callable[[S, Place], R | None]) -> tuple[R, ...]:
        """Each line of a list read by itself; a faulty one is reported and left out."""
        made = (
            make(found, item.place)
            for item in self.items(node)
            if (found := shapes.read(shape, item, self.problems, self.home)) is not None
        )
        return tuple(line for line in made if line is not None)

    def items(self, node: Node | None) -> tuple[Node, ...]:
        if node is None or is_empty(node):
            return ()
        return node.items if isinstance(node, Row) else (node,)


def parse_entry(text: str, file: str, home: str, problems: Problems) -> Session | None:
    """One entry as a session; None, with the reason reported, if it has no date or no readable front matter.

    `home` is the currency of a bare amount. Lines that cannot be read are left out of the session.
    """
    front, first, body, body_line = split_front_matter(text, file, problems)
    if front is None:
        return None
    tree = parse_tree(front, file, first, problems)
    if tree is None:
        return None
    entry = shapes.read(shapes.EntryShape, tree, problems, home, partly=True)
    if entry is None or not isinstance(tree, Table):
        return None
    named_day, named_title = from_file_name(PurePosixPath(file).stem)
    day = entry.date or named_day
    if day is None:
        if is_empty(tree.values.get("date", Text("", tree.place))):  # one that cannot be read was reported
            problems.error(
                tree.keys.get("date", Place(file)),
                "date-missing",
                "The entry has no date, and its file's name does not begin with a day of the calendar.",
                "Add `date: 2024-03-09`.",
            )
        return None
    if named_day and named_day != day:
        problems.warning(
            tree.keys["date"],
            "date-differs",
            f"The entry says {day}, its file's name {named_day}; {day} counts.",
            "Make the two agree.",
        )
    if not text.strip():
        problems.warning(
            Place(file), "entry-empty", "There is nothing in this entry.", "Write what was done, or delete the file."
        )
    reader = _Reader(file, home, problems)
    blocks, references = read_blocks(body, file, body_line, home, problems)
    return Session(
        place=tree.keys.get("hours", tree.place),
        parts_place=tree.keys.get("parts", tree.place),
        day=day,
        title=entry.title or named_title or str(day),
        page="",  # given when all entries are known
        start=entry.start,
        minutes=entry.hours,
        parts=entry.parts,
        private=entry.private,
        body=Body(body),
        body_line=body_line,
        references=references,
        blocks=blocks,
        **_lines_of(reader, tree),
    )


def _lines_of(reader: _Reader, tree: Table) -> dict[str, Any]:
    node = tree.values.get
    return {
        "work": reader.lines(node("work"), shapes.WorkShape, _work_line),
        "uses": tuple(_uses(reader, node("materials"))),
        "purchases": (
            *reader.lines(node("bought"), shapes.PurchaseShape, lambda s, p: _purchase(s, p, reader)),
            *reader.lines(node("sold"), shapes.SaleShape, lambda s, p: _sale(s, p, reader)),
        ),
        "measures": reader.lines(node("measures"), shapes.MeasureShape, lambda s, p: _measure(s, p, reader)),
        "decisions": reader.lines(node("decisions"), shapes.DecisionShape, _decision),
        "found": reader.lines(node("found"), shapes.FoundShape, _found),
        "photos": tuple(_photos(reader, node("photos"))),
        "pairs": reader.lines(node("pair"), shapes.PairShape, pair_choice),
    }


def split_front_matter(text: str, file: str, problems: Problems) -> tuple[str | None, int, str, int]:
    """The front matter, its first line, the body and the body's first line.

    An entry without front matter is all body. Front matter without an end is an error and None.
    """
    lines = text.split("\n")
    start = next((i for i, line in enumerate(lines) if line.strip()), 0)
    if not lines or lines[start].rstrip() != "---":
        if _begins_as_front_matter(lines[start]):
            problems.error(
                Place(file, start + 1),
                "front-matter-unmarked",
                f'The entry begins with "{lines[start].strip()}", where a line of three hyphens is meant.',
                "Put a line of three hyphens --- above the first key, and one below the last.",
            )
            return None, 1, "", 1
        return "", 1, text, 1
    for end in range(start + 1, len(lines)):
        if lines[end].rstrip() in ("---", "..."):
            return "\n".join(lines[start + 1 : end]), start + 2, "\n".join(lines[end + 1 :]), end + 2
    problems.error(
        Place(file, start + 1),
        "front-matter-open",
        "The front matter that begins here has no end.",
        "Put a line of three hyphens between it and the text.",
    )
    return None, 1, "", 1


def _begins_as_front_matter(line: str) -> bool:
    """Whether a first line is nearly one of three hyphens, or a key: what it says must not be shown as text."""
    if _NEARLY.fullmatch(line.strip()):
        return True
    found, entry_keys = _KEY.match(line), shapes.EntryShape.keys()
    return found is not None and (found[1] in entry_keys or found[1].casefold() in _TELLING)


def _work_line(line: shapes.WorkShape, place: Place) -> WorkLine:
    return WorkLine(
        place=place,
        parts=line.part,
        step=line.step,
        coat=line.coat,
        minutes=line.hours,
        material=line.material,
        amount=line.amount,
        air=line.air,
        humidity=line.humidity,
        surface=line.surface,
        wait=line.wait,
        fitted_with=line.fitted_with,
        result=line.result,
        note=line.note,
        private=line.private,
    )


def _uses(reader: _Reader, node: Node | None) -> Iterator[Use]:
    """Materials: mappings, plain forms in a list, or plain forms in one text with commas."""
    for item in reader.items(node):
        if not isinstance(item, Text):
            found = shapes.read(shapes.UseShape, item, reader.problems, reader.home)
            if found:
                yield Use(item.place, found.use, found.amount, found.part, found.private)
            continue
        try:
            pieces = split_uses(item.text)
        except Unreadable as fault:
            reader.problems.error(item.place, fault.rule, f"materials: {fault.message}", fault.remedy)
            continue
        for text in pieces:
            yield from _plain_use(text, item.place, reader)


def _plain_use(text: str, place: Place, reader: _Reader) -> Iterator[Use]:
    try:
        name, amount = split_use(text)
        yield Use(place, as_name(name), amount, written=text)
    except Unreadable as fault:
        reader.problems.error(place, fault.rule, f"materials: {fault.message}", fault.remedy)


def _purchase(line: shapes.PurchaseShape, place: Place, reader: _Reader) -> Purchase | None:
    kind = line.kind or ("material" if line.material else "part")
    if line.material and kind not in ("material", "refund"):
        reader.problems.warning(
            place, "kind-differs", f"A purchase of a material is of kind material, not {kind}.", "Leave `kind:` out."
        )
        kind = "material"
    if not line.kind and not line.material and not line.part:
        reader.problems.warning(
            place, "kind-missing", "It is not said what kind of purchase this is; it counts as part.", "Add `kind:`."
        )
    made = Purchase(
        place=place,
        kind=kind,
        parts=line.part,
        material=line.material,
        what=line.what,
        price=line.price,
        count=line.count,
        postage=line.postage,
        duty=line.duty,
        tax=line.tax,
        paid=line.paid,
        rate=line.rate,
        amount=line.amount,
        party=line.party,
        ordered=line.ordered,
        arrived=line.arrived,
        note=line.note,
        private=line.private,
    )
    return made if _money_is_sound(made, reader) else None


def _sale(line: shapes.SaleShape, place: Place, reader: _Reader) -> Purchase | None:
    made = Purchase(
        place=place,
        kind="sale",
        parts=line.part,
        material=line.material,
        what=line.what,
        price=line.price,
        count=line.count,
        paid=line.paid,
        rate=line.rate,
        amount=line.amount,
        party=line.party,
        note=line.note,
        private=line.private,
    )
    return made if _money_is_sound(made, reader) else None


def _money_is_sound(line: Purchase, reader: _Reader) -> bool:
    """Reports what contradicts itself; a purchase without any money is odd but readable."""
    billed = [money for money in (line.price, line.postage, line.duty, line.tax) if money]
    foreign = {money.currency for money in billed if money.currency != reader.home}
    if line.paid and line.paid.currency != reader.home:
        reader.problems.error(
            line.place,
            "paid-not-home",
            f"`paid` is in {line.paid.currency}, but the journal's home currency is {reader.home}.",
            f"Write under `paid` what left your account in {reader.home}, and the bill under `price`.",
        )
        return False
    if line.rate is not None and len(foreign) > 1:
        reader.problems.error(
            line.place,
            "rate-unclear",
            f"One `rate` cannot serve {' and '.join(sorted(foreign))}.",
            "Split the purchase in two, or write what was `paid`.",
        )
        return False
    if line.arrived and line.ordered and line.arrived < line.ordered:
        reader.problems.warning(
            line.place,
            "arrived-before-ordered",
            f"It arrived on {line.arrived}, before it was ordered on {line.ordered}.",
            "Look at the two dates.",
        )
    if not billed and not line.paid:
        reader.problems.warning(
            line.place, "price-missing", "The purchase has no price; it counts as nothing.", "Add `price:` or `paid:`."
        )
    return True


def _measure(line: shapes.MeasureShape, place: Place, reader: _Reader) -> Measure | None:
    ends = (line.limits.low, line.limits.high) if line.limits else ()
    others = [amount for amount in (*ends, line.uncertainty) if amount]
    if any(amount.dimension != line.value.dimension for amount in others):
        reader.problems.error(
            place,
            "measure-units",
            f"{line.what}: the value, its limits and its uncertainty are not of one kind.",
            f"Give all of them in {line.value.unit or 'one unit'}.",
        )
        return None
    if line.uncertainty and line.uncertainty.number < 0:
        reader.problems.error(
            place, "measure-units", "An uncertainty cannot be below nought.", "Leave the minus sign out."
        )
        return None
    return Measure(place, line.what, line.value, line.part, line.limits, line.uncertainty, line.note, line.private)


def _decision(line: shapes.DecisionShape, place: Place) -> Decision:
    return Decision(place, line.do, line.part, line.why, line.private)


def _found(line: shapes.FoundShape, place: Place) -> Found:
    return Found(place, line.condition, line.part, line.severity, line.private)


def pair_choice(line: shapes.PairShape, place: Place) -> PairChoice:
    return PairChoice(place, line.part, line.before, line.after, line.private)


def _photos(reader: _Reader, node: Node | None) -> Iterator[Photo]:
    """Photographs: mappings, or plain file names."""
    for item in reader.items(node):
        if not isinstance(item, Text):
            found = shapes.read(shapes.PhotoShape, item, reader.problems, reader.home)
            if found:
                yield Photo(item.place, found.file, found.part, found.shows, found.caption, found.hide, found.private)
            continue
        for name in (piece.strip() for piece in item.text.split(",")):
            if name:
                try:
                    yield Photo(item.place, as_photo_file(name))
                except Unreadable as fault:
                    reader.problems.error(item.place, fault.rule, f"photos: {fault.message}", fault.remedy)
