"""What a person says of a session, by options or when asked, read as the journal itself is read.

Each reader takes the text as typed and gives what the entry will hold, names in the register's
spelling. It raises Unreadable with the remedy. A doubt is told of what could be read but will be
reported by an inspection: an unknown name, an amount that is not there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Final

from msgspec import Struct

from journalgen.beginning import Plain, one_or_list
from journalgen.ledgers.quantities import convert, plain
from journalgen.ledgers.stock import Stock
from journalgen.problems import Problems
from journalgen.reading.amounts import parse_amount, split_use, split_uses
from journalgen.reading.dates import parse_time
from journalgen.reading.fields import as_name, as_names, as_photo_file
from journalgen.reading.hours import parse_hours, parse_session_hours, spell_clock
from journalgen.reading.names import Catalogue, nearest, nearest_spelling
from journalgen.reading.resolve import Registers
from journalgen.reading.shapes import WorkShape, read
from journalgen.reading.texts import LARGEST
from journalgen.reading.trees import Table, parse_tree, plain_table
from journalgen.reading.unreadable import Unreadable
from journalgen.records import Journal
from journalgen.slugs import key, slug

Row = Mapping[str, Plain]
ALL: Final = "all"


class Known(Struct, frozen=True):
    """What the journal knows already, for one new session."""

    journal: Journal
    registers: Registers
    stock: Stock
    day: date
    files: frozenset[str]  # every photograph below photos/
    unused: tuple[str, ...] = ()  # those of the day that no entry names


def read_line(text: str) -> str:
    """One line without needless spaces. Raises Unreadable for what is no text."""
    return " ".join(read_body(text).split())


def read_body(text: str) -> str:
    """A text of any length that a file can hold."""
    try:
        size = len(text.encode())
    except UnicodeEncodeError:
        raise Unreadable("not-utf-8", "There are bytes in it that are not UTF-8.", "Write it again.") from None
    if "\0" in text or size > LARGEST:
        raise Unreadable("not-text", "This is not a text, or larger than 10 MB.", "Put plain text there.")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def read_title(text: str, known: Known) -> str:
    """A title; a second one of the day gets a number, since each entry's page is named by day and title."""
    title = read_line(text)
    taken = {slug(session.title) for session in known.journal.sessions if session.day == known.day}
    if not title or slug(title) not in taken:
        return title
    return next(again for n in range(2, 1000) if slug(again := f"{title[:200]} {n}") not in taken)


def read_hours(text: str, work: Sequence[Row] = ()) -> str:
    """The hours as typed. They cannot be less than those of the lines of work."""
    hours = read_line(text)
    minutes = parse_session_hours(hours)
    spent = sum(parse_hours(of_line) for line in work if isinstance(of_line := line.get("hours"), str))
    if spent > minutes:
        raise Unreadable(
            "hours-exceed-session",
            f'The lines of work have {spell_clock(spent)} together, which is more than "{hours}".',
            "Write the hours of the whole session.",
        )
    return hours


def read_start(text: str) -> str:
    """A time of day as entries write it."""
    return f"{parse_time(read_line(text)):%H:%M}"


def read_parts(text: str, registers: Registers) -> list[str]:
    """Names with commas between them; the whole text may also be one name that has commas."""
    text = read_line(text)
    whole = _find_part(text, registers)
    return [whole] if whole else list(dict.fromkeys(_find_part(name, registers) or name for name in as_names(text)))


def doubt_parts(names: Iterable[str], registers: Registers) -> str | None:
    """Says which names no register and no entry knows."""
    catalogue = registers.part_names
    return _together(_doubt_name(name, catalogue, "part") for name in names if not _find_part(name, registers))


def find_slip(names: Iterable[str], registers: Registers) -> tuple[str, str] | None:
    """The first name that nobody knows and that is nearly one that is known, with that one."""
    catalogue = registers.part_names
    unknown = (name for name in names if catalogue.registered and not _find_part(name, registers))
    return next(((name, near) for name in unknown if (near := nearest_spelling(name, catalogue.by_key))), None)


def read_work(text: str, known: Known) -> Row:
    """One line of work as an entry holds it, with or without its braces: `part: front wheel, step: etch`."""
    text, problems = read_line(text), Problems()
    tree = parse_tree(text if text.startswith("{") else f"{{{text}}}", "", 1, problems)
    line = None
    if isinstance(tree, Table):
        line = read(WorkShape, tree, problems, known.journal.settings.home_currency)
    for problem in problems.in_order():
        raise Unreadable(problem.rule, problem.message, problem.remedy)
    if line is None or not isinstance(tree, Table) or not (row := plain_table(tree)):
        raise Unreadable("mapping", "This says nothing.", "Write part: front wheel, step: etch, hours: 1:30.")
    named: dict[str, Plain] = dict(row)
    for at, names in (("part", line.part), ("with", line.fitted_with)):
        if at in row:
            named[at] = one_or_list([_find_part(name, known.registers) or name for name in names])
    if line.step:
        named["step"] = known.registers.step_names.find(line.step) or line.step
    if line.material:
        named["material"] = known.registers.material_names.find(line.material) or line.material
    return named


def work_row(part: str, step: str) -> Row:
    """A line of work of which no more is known."""
    return {"part": one_or_list([part]), "step": step}


def parts_of(work: Iterable[Row]) -> list[str]:
    """The parts that lines of work name, each once."""
    found: dict[str, None] = {}
    for line in work:
        named = line.get("part", ())
        for name in [named] if isinstance(named, str) else named:
            found.setdefault(str(name))
    return list(found)


def read_materials(text: str, known: Known) -> list[Row]:
    """What was used: `degreaser 50 mL, 320 grit paper 2 sheets`."""
    return [_use(piece, known) for piece in split_uses(read_line(text))]


def _use(text: str, known: Known) -> Row:
    catalogue = known.registers.material_names
    if whole := catalogue.find(text):  # as the journal has it, what looks like an amount belongs to this name
        return {"use": whole}
    name, amount = split_use(text)
    name = as_name(name)
    if amount is None:
        return {"use": name}
    return {"use": catalogue.find(name) or name, "amount": f"{amount.number:f} {amount.unit}".strip()}


def doubt_materials(rows: Iterable[Row], known: Known) -> str | None:
    """Says what the stock will not agree with."""
    return _together(_doubt_use(str(row["use"]), row.get("amount"), known) for row in rows)


def _together(doubts: Iterable[str | None]) -> str | None:
    return " ".join(filter(None, doubts)) or None


def _doubt_use(name: str, written: Plain | None, known: Known) -> str | None:
    catalogue = known.registers.material_names
    if catalogue.find(name) is None and (doubt := _doubt_name(name, catalogue, "material")):
        return doubt
    if not isinstance(written, str):
        return f"It is not said how much {name} was used. Write for example: {name} 20 mL."
    row = known.stock.materials.get(name)
    if row is None:
        return None
    amount = parse_amount(written)
    taken = convert(amount, row.unit, row.material.density)
    if taken is None:
        return f"{name} is kept in {row.unit.name}; {written} cannot be turned into that."
    if row.lots and taken > row.left:
        left = plain(max(row.left, Fraction(0)), 3)
        return f"There is less left than that: {left} {row.unit.name} of {name}."
    return None


def read_photos(text: str, known: Known) -> list[str]:
    """Photographs of the journal by their files below photos/; `all` for those of the day that no entry names."""
    text = read_line(text)
    if text.casefold() == ALL:
        return list(known.unused)
    pieces = [text] if text in known.files else [piece.strip() for piece in text.split(",") if piece.strip()]
    return list(dict.fromkeys(_photo(piece, known) for piece in pieces))


def _photo(text: str, known: Known) -> str:
    file = as_photo_file(text)
    if file not in known.files:
        near = nearest(file, known.files)
        raise Unreadable(
            "photo-absent",
            f"There is no photograph {file} in photos/.",
            f"Did you mean {near}?" if near else "Copy it into photos/ first.",
        )
    return file


def photo_rows(files: Iterable[str], parts: Sequence[str]) -> list[Row]:
    """Lines of `photos`; a session on one part has photographs of it."""
    about: Row = {"part": one_or_list(parts)} if len(parts) == 1 else {}
    return [{"file": file, **about, "shows": "during"} for file in files]


def _find_part(text: str, registers: Registers) -> str | None:
    return registers.part_names.find(text) or registers.assemblies.get(key(text))


def _doubt_name(name: str, catalogue: Catalogue, what: str) -> str | None:
    """As the journal sees it: where no register is kept, any name will do."""
    if not catalogue.registered:
        return None
    near = nearest_spelling(name, catalogue.by_key)
    return f'"{name}" is not a known {what}; did you mean {near}?' if near else f'"{name}" is not a known {what}.'
