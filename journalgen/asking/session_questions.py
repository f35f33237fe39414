"""What is asked of a session: only what was not said already, each with what the journal knows about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from typing import Any, Final

from msgspec.structs import replace

from journalgen import answers
from journalgen.answers import Known, Row
from journalgen.asking.asker import BACK, Asker, Back, Offer, ask, go_through
from journalgen.asking.choosing import read_choice
from journalgen.beginning import NewEntry
from journalgen.columns import cut, wrap
from journalgen.ledgers.quantities import plain
from journalgen.ledgers.readiness import Start
from journalgen.ledgers.stock import MaterialStock
from journalgen.reading.hours import spell_clock
from journalgen.terminal import WIDTH, one_line, table_lines

FIELDS: Final = ("title", "work", "parts", "hours", "start", "materials", "photos", "text")
"""What is asked about, in this order."""

MOST_WORK: Final = 10
MOST_TINS: Final = 12
MOST_PHOTOS: Final = 20
_LONGEST: Final = 60  # columns of a line that is shown again


def ask_session(
    asker: Asker, entry: NewEntry, known: Known, starts: Sequence[Start], said: frozenset[str], *, editing: bool
) -> NewEntry:
    """The entry with the answers. `said` are the fields that were given; nothing is asked about these.

    With `editing` the text is left to the editor.
    """
    title = known.journal.settings.title
    for line in wrap(one_line(f"A session on {known.day}, {title}."), WIDTH):
        asker.tell(line)
    asker.tell(f"Enter leaves a question empty; {BACK} goes back to the one before.")
    asker.tell("Ctrl-C ends and writes nothing.")

    def work(asker: Asker, entry: NewEntry, known: Known) -> Sequence[Row]:
        return _work(asker, known, sorted(starts, key=lambda start: start.part not in entry.parts))

    questions: tuple[Callable[[Asker, NewEntry, Known], Any], ...] = (
        _title, work, _parts, _hours, _start, _materials, _photos, _text,
    )  # fmt: skip
    return go_through(
        asker,
        entry,
        [
            partial(_answer, field, question, known)
            for field, question in zip(FIELDS, questions, strict=True)
            if field not in said and not (field == "text" and editing)
        ],
    )


def _answer(
    field: str, question: Callable[[Asker, NewEntry, Known], Any], known: Known, asker: Asker, entry: NewEntry
) -> NewEntry:
    return replace(entry, **{field: question(asker, entry, known)})


def _title(asker: Asker, entry: NewEntry, known: Known) -> str | None:
    return ask(asker, "Title: ", lambda text: answers.read_title(text, known), None)


def _work(asker: Asker, known: Known, starts: Sequence[Start]) -> Sequence[Row]:
    """Lines for what was chosen of the work that could be done."""
    shown = list(starts[:MOST_WORK])
    if not shown:
        return ()
    rows = [
        [f"{n}", work.part, _named(work.step, known), _clock(work.typical_minutes)] for n, work in enumerate(shown, 1)
    ]
    _table(asker, ["No.", "Ready to be done", "step", "h:mm"], rows, 3)
    more = len(starts) - len(shown)
    if more:
        asker.tell(f"{more} more: journalgen ready")
    question = "Which of these were done? Numbers such as 1 3: "
    chosen: list[int] = ask(asker, question, lambda text: read_choice(text, len(shown)), [])
    return [answers.work_row(shown[at].part, shown[at].step) for at in chosen]


def _clock(minutes: int | None) -> str:
    return spell_clock(minutes) if minutes else ""


def _named(step: str, known: Known) -> str:
    """The label, and the word that the entry will hold where it is another."""
    label = known.journal.step_label(step)
    return label if label.casefold() == step else f"{label} ({step})"


def _parts(asker: Asker, entry: NewEntry, known: Known) -> Sequence[str]:
    """The parts of the lines of work, and whatever else was worked on."""
    done = answers.parts_of(entry.work)
    offers = [Offer(part.name, part.assembly or "") for part in known.journal.parts.values() if part.name not in done]
    question = "Other parts, with commas: " if done else "Parts, with commas: "
    named: list[str] = ask(
        asker, question, lambda text: answers.read_parts(text, known.registers), [],
        offers=offers, doubt=lambda names: answers.doubt_parts(names, known.registers),
    )  # fmt: skip
    return list(dict.fromkeys([*done, *named]))


def _hours(asker: Asker, entry: NewEntry, known: Known) -> str | None:
    return ask(asker, "Hours, such as 2:30: ", lambda text: answers.read_hours(text, entry.work), None)


def _start(asker: Asker, entry: NewEntry, known: Known) -> str | None:
    """Asked once the hours are known: without them it does not tell when the session ended."""
    return ask(asker, "Begun at, such as 19:15: ", answers.read_start, None) if entry.hours else entry.start


def _materials(asker: Asker, entry: NewEntry, known: Known) -> Sequence[Row]:
    in_stock = [row for row in known.stock.materials.values() if row.left > 0]
    in_stock.sort(key=_last_used, reverse=True)
    if in_stock:
        rows = [[row.material.name, row.unit.name, plain(row.left, 3)] for row in in_stock[:MOST_TINS]]
        _table(asker, ["In the tin", "unit", "left"], rows, 2)
    left = {row.material.name: f"{plain(max(row.left, Fraction(0)), 3)} {row.unit.name} left" for row in in_stock}
    offers = [Offer(name, left.get(name, "")) for name in known.journal.materials]
    offers.sort(key=lambda offer: offer.name not in left)
    return ask(
        asker, "Materials, such as degreaser 50 mL, with commas: ",
        lambda text: answers.read_materials(text, known), [],
        offers=offers, doubt=lambda rows: answers.doubt_materials(rows, known),
    )  # fmt: skip


def _last_used(row: MaterialStock) -> str:
    return max((str(use.session.day) for use in row.uses), default="")


def _photos(asker: Asker, entry: NewEntry, known: Known) -> Sequence[Row]:
    if not known.unused:
        return ()
    shown = known.unused[:MOST_PHOTOS]
    for n, file in enumerate(shown, 1):
        asker.tell(f"{n:>3}  {one_line(file)}")
    more = len(known.unused) - len(shown)
    if more:
        asker.tell(f"and {more} more")

    def read(text: str) -> list[str]:
        return [known.unused[at] for at in read_choice(text, len(known.unused))]

    files: list[str] = ask(asker, "Photographs of the day, such as 1-3, or all: ", read, [])
    return answers.photo_rows(files, entry.parts)


def _text(asker: Asker, entry: NewEntry, known: Known) -> str:
    """Lines until an empty one."""
    asker.tell("What happened? An empty line ends it.")
    return "\n".join(_lines(asker))


def _lines(asker: Asker) -> list[str]:
    """Here `<` takes back the last line, and leads to the question before only where there is none."""
    lines: list[str] = []
    while True:
        try:
            line = ask(asker, "  ", answers.read_body, "")
        except Back:
            if not lines:
                raise
            asker.tell(one_line(f"Taken back: {cut(lines.pop(), _LONGEST)}"))
            continue
        if not line:
            return lines
        lines.append(line)


def _table(asker: Asker, heads: Sequence[str], rows: Sequence[Sequence[str]], texts: int) -> None:
    asker.tell()
    for line in table_lines(heads, rows, texts=texts):
        asker.tell(line)
