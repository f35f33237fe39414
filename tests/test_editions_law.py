"""Whatever is private, the public edition is what it would be if that had never been written."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path
from typing import Final

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

from journalgen.editions import public_edition
from journalgen.reading.journal import read_journal
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.records import Journal
from journalgen.site.assemble import Assembler, Order
from journalgen.site.matter import material_slugs, part_slugs, step_slugs
from tests.journals import SETTINGS, write_journal
from tests.memory import MEMORY

NAMES: Final = {
    "part": ("wheel", "Wheel", "front-wheel", "Front Wheel", "Bracket", "bracket", "bolt 1/2", "bolt 1 2"),
    "material": ("varnish 2 tins", "Varnish 2 Tins", "oil", "Oil", "zinc primer", "Zinc-Primer"),
    "party": ("Bob", "bob", "Bob-Smith", "bob smith", "Open Shop", "open-shop"),
    "step": ("etch", "Etch", "wax polish", "Wax-Polish", "wax/polish"),
}
FORMS: Final = {
    "work": (
        "{part: <part>, step: <step>, material: <material>, amount: 5 mL",
        "{part: <part>, step: <step>, hours: 20 min",
        "{part: <part>, step: trial fit, with: [<part>]",
    ),
    "materials": ("{use: <material>", "{use: <material>, amount: 2 mL, part: <part>"),
    "bought": ("{part: <part>, price: 3 GBP, from: <party>", "{material: <material>, price: 3 GBP, from: <party>"),
    "sold": ("{part: <part>, price: 3 GBP, to: <party>",),
    "found": ("{part: <part>, condition: worn",),
    "decisions": ("{part: <part>, do: repair", "{part: <part>, do: make"),
    "measures": (
        "{part: <part>, what: bore, value: 2 mm",
        "{part: <part>, what: wall, value: 1 mm, limits: at least 2 mm",
    ),
    "photos": ("{file: <file>.jpg, part: <part>", "{file: <file>.jpg, part: <part>, shows: before"),
}
PLAIN: Final = {"materials": ("<material>", "<material> 3 mL")}
"""Forms of a line that cannot say that it is private."""

REGISTERS: Final = (
    {},
    {
        "register/parts.yaml": "front wheel: {assembly: running gear, needs: [wheel]}\n",
        "register/materials.yaml": "varnish 2 tins: {kind: coating}\n",
        "register/suppliers.yaml": "Open Shop: {also called: [Bob]}\n",
    },
)


class Line(Struct, frozen=True):
    kind: str
    text: str
    private: bool


class Entry(Struct, frozen=True):
    lines: tuple[Line, ...]
    block: str
    private: bool

    def write(self, number: int, *, all_of_it: bool) -> tuple[str, str]:
        """Its file and its text; what is left out leaves its line, so that places are the same."""
        rows = ["---", f"title: Evening {number}", "hours: 5", "private: yes" if self.private else "# public"]
        for kind in FORMS:
            of_kind = [line for line in self.lines if line.kind == kind]
            rows += [f"{kind}:" if of_kind else "#"]
            rows += [f"  - {line.text}" if all_of_it or not line.private else "  #" for line in of_kind]
        rows += ["---", "", "```pair", f"part: {self.block}", "before: a.jpg", "```", ""]
        return f"entries/2024-03-{number + 1:02}-evening.md", "\n".join(rows)


@st.composite
def lines(draw: st.DrawFn) -> Line:
    kind = draw(st.sampled_from(sorted(FORMS)))
    private = draw(st.booleans())
    forms = FORMS[kind] if private else (*FORMS[kind], *PLAIN.get(kind, ()))
    text = draw(st.sampled_from(forms))
    text = text.replace("<file>", f"{'a' if private else 'b'}{draw(st.integers(0, 3))}")  # one private, gone from all
    for what, names in NAMES.items():
        text = text.replace(f"<{what}>", draw(st.sampled_from(names)))
    if text.startswith("{"):
        text += ", private: yes}" if private else "}"
    return Line(kind, text, private)


entries = st.builds(Entry, st.lists(lines(), max_size=4).map(tuple), st.sampled_from(NAMES["part"]), st.booleans())


def read(folder: Path, found: list[Entry], register: int, *, all_of_it: bool) -> Journal:
    texts = [entry.write(n, all_of_it=all_of_it) for n, entry in enumerate(found) if all_of_it or not entry.private]
    settings = f"{SETTINGS}\n[editions.public]\nhide = []\n"
    reading = read_journal(write_journal(folder, {**REGISTERS[register], **dict(texts)}, settings))
    assert not [problem for problem in reading.problems if problem.is_error], reading.problems
    return reading.journal


@settings(max_examples=200)
@given(st.lists(entries, min_size=1, max_size=4), st.integers(0, 1))
def test_what_is_private_is_as_if_it_had_never_been_written(found: list[Entry], register: int) -> None:
    with tempfile.TemporaryDirectory(dir=MEMORY) as held:
        all_of_it = read(Path(held) / "whole", found, register, all_of_it=True)
        without_it = read(Path(held) / "without", found, register, all_of_it=False)
    whole, without = public_edition(all_of_it), public_edition(without_it)
    for field in whole.__struct_fields__:
        assert getattr(whole, field) == getattr(without, field), field
        if isinstance(getattr(whole, field), dict):
            assert list(getattr(whole, field)) == list(getattr(without, field)), field
    for slugs in (part_slugs, material_slugs, step_slugs):  # the names of pages
        named, alone = slugs(all_of_it), slugs(without_it)
        assert {name: named[name] for name in alone} == alone


def site(folder: Path) -> dict[str, bytes]:
    Assembler(Order(folder, date(2024, 6, 1), editions=("public",)), EuropeanCentralBank()).assemble()
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.glob("web/**/*.*")}


@settings(max_examples=60)
@given(st.lists(entries, min_size=1, max_size=4), st.integers(0, 1))
def test_the_public_site_is_the_same_to_the_byte(found: list[Entry], register: int) -> None:
    with tempfile.TemporaryDirectory(dir=MEMORY) as held:
        for all_of_it in (True, False):
            read(Path(held) / str(all_of_it), found, register, all_of_it=all_of_it)
        whole, without = (site(Path(held) / str(all_of_it)) for all_of_it in (True, False))
    assert whole.keys() == without.keys()
    assert [name for name in whole if whole[name] != without[name]] == []
    assert len(whole) > 10
