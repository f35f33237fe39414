"""The typed, unchanging records that every other part of the program speaks in.

Reading makes them, ledgers add them up, pages show them. They hold names in the register's
spelling, money as Decimal, time at the bench as whole minutes, and quantities as a number with
its unit. Each record that a person wrote remembers its place, so that a fault found late can
still point into the journal.
"""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Final
from zoneinfo import ZoneInfo

from msgspec import Struct, field

from journalgen.slugs import key
from journalgen.values import Amount, Body, Duration, Limits, Money, Place, Rectangle, Window

GENERAL: Final = "(general)"
"""Stands for the part where time, money or material belongs to no part."""

UNSPECIFIED: Final = "(unspecified)"
"""Stands for the step where it was not said what was done."""

NO_ASSEMBLY: Final = "(none)"
"""Stands for the assembly of a part that belongs to none."""


class WorkLine(Struct, frozen=True):
    """One line of `work`: a step done on one part or on several alike."""

    place: Place
    parts: tuple[str, ...] = ()
    step: str | None = None
    coat: int | None = None  # from 1
    minutes: int | None = None  # None: shares in what the session has left
    material: str | None = None
    amount: Amount | None = None  # of the material, over all parts of the line
    air: Decimal | None = None  # degC
    humidity: Decimal | None = None  # per cent relative humidity
    surface: Decimal | None = None  # degC
    wait: Duration | None = None
    fitted_with: tuple[str, ...] = ()
    result: str | None = None
    note: str | None = None
    private: bool = False


class Use(Struct, frozen=True):
    """Material consumed; the amount is None where it was not said."""

    place: Place
    material: str
    amount: Amount | None = None
    parts: tuple[str, ...] = ()
    private: bool = False
    written: str = ""  # the plain form, where the whole of it may be the material's name


class Purchase(Struct, frozen=True):
    """Money spent, refunded (`kind` refund) or taken in (`kind` sale). Figures are per line, none negative."""

    place: Place
    kind: str
    parts: tuple[str, ...] = ()
    material: str | None = None
    what: str | None = None
    price: Money | None = None  # of one
    count: int = 1
    postage: Money | None = None
    duty: Money | None = None
    tax: Money | None = None
    paid: Money | None = None  # what left the account, in home currency
    rate: Decimal | None = None  # home units for one foreign unit
    amount: Amount | None = None  # of material, in one of `count`
    party: str | None = None  # the supplier, or who bought it
    ordered: date | None = None
    arrived: date | None = None
    note: str | None = None
    private: bool = False

    @property
    def sign(self) -> int:
        """-1 for what comes back, 1 for what is spent."""
        return -1 if self.kind in ("refund", "sale") else 1


class Measure(Struct, frozen=True):
    """A measured value with the limits it was held against."""

    place: Place
    what: str
    value: Amount
    parts: tuple[str, ...] = ()
    limits: Limits | None = None
    uncertainty: Amount | None = None  # None counts as nought
    note: str | None = None
    private: bool = False


class Decision(Struct, frozen=True):
    """What shall become of a part: reuse, repair, replace or make."""

    place: Place
    do: str
    parts: tuple[str, ...] = ()
    why: str | None = None
    private: bool = False


class Found(Struct, frozen=True):
    """A condition found on a part; severity is light, moderate, bad or unsafe."""

    place: Place
    condition: str
    parts: tuple[str, ...] = ()
    severity: str | None = None
    private: bool = False


class Photo(Struct, frozen=True):
    """A photograph as a session refers to it; `shows` is before, during or after."""

    place: Place
    file: str  # relative to photos/, with forward slashes, never leading out of it
    parts: tuple[str, ...] = ()
    shows: str = "during"
    caption: str | None = None
    hide: tuple[Rectangle, ...] = ()
    private: bool = False


class PairChoice(Struct, frozen=True):
    """The before and after that a person named for a part, where the first and last will not do."""

    place: Place
    part: str
    before: str | None = None  # files, relative to photos/
    after: str | None = None
    private: bool = False


class Reference(Struct, frozen=True):
    """What a body points to: `[text](part:front-wheel)`, `[text](session:2024-03-09)`, or a photograph it shows."""

    place: Place
    kind: str  # part, session or photo
    target: str  # the name, the date or page, or the file relative to photos/


class Block(Struct, frozen=True):
    """A fenced block in a body that places an element: the pair of a part, photographs, or measures.

    A block that could not be read has nothing in it and is shown as the text it is.
    """

    place: Place
    kind: str  # pair, photos or measure
    pair: PairChoice | None = None
    files: tuple[str, ...] = ()  # of `photos`, relative to photos/
    measures: tuple[tuple[str, str], ...] = ()  # of `measure`: the part (or "") and what was measured


class Session(Struct, frozen=True):
    """One sitting at the bench: one entry."""

    place: Place  # of its hours, where it states them
    parts_place: Place
    day: date
    title: str
    page: str  # the page's name without folder and ending: 2024-03-09-first-etch-coat
    start: time | None = None
    minutes: int | None = None  # as stated; None: the sum of its lines
    parts: tuple[str, ...] = ()
    work: tuple[WorkLine, ...] = ()
    uses: tuple[Use, ...] = ()
    purchases: tuple[Purchase, ...] = ()  # bought and sold, in the entry's order
    measures: tuple[Measure, ...] = ()
    decisions: tuple[Decision, ...] = ()
    found: tuple[Found, ...] = ()
    photos: tuple[Photo, ...] = ()
    pairs: tuple[PairChoice, ...] = ()
    references: tuple[Reference, ...] = ()
    blocks: tuple[Block, ...] = ()  # in the order of their fences in the body
    body: Body = Body()
    body_line: int = 1  # the line of the file on which the body begins
    private: bool = False


class Part(Struct, frozen=True):
    """One piece of the machine, or several alike, as the register has it."""

    name: str
    place: Place | None = None  # None: named in entries only
    assembly: str | None = None
    also_called: tuple[str, ...] = ()
    number: str | None = None
    quantity: int = 1
    area: Amount | None = None  # of one
    route: str | None = None
    decision: str | None = None
    stored: str | None = None
    needs: tuple[str, ...] = ()
    safety: str | None = None
    note: str | None = None

    @property
    def registered(self) -> bool:
        return self.place is not None


class MaterialLimits(Struct, frozen=True):
    """Conditions a material may be laid in, each as written and read."""

    humidity: Limits | None = None  # per cent
    surface: Limits | None = None
    air: Limits | None = None
    above_dew_point: Amount | None = None


class Material(Struct, frozen=True):
    """Something consumed, as the register has it."""

    name: str
    place: Place | None = None
    also_called: tuple[str, ...] = ()
    kind: str | None = None
    solids: Decimal | None = None  # per cent by volume
    film: Decimal | None = None  # um, dry, one coat
    loss: Decimal | None = None  # per cent of what leaves the gun or brush
    thinner: Decimal | None = None  # per cent of the volume as supplied
    density: Fraction | None = None  # kg/L
    recoat: Window | None = None
    cure: Duration | None = None
    limits: MaterialLimits = MaterialLimits()
    keeps: Duration | None = None
    colour: str | None = None  # #rrggbb
    hazards: tuple[str, ...] = ()
    safety_sheet: str | None = None
    note: str | None = None

    @property
    def registered(self) -> bool:
        return self.place is not None


class Supplier(Struct, frozen=True):
    """Who sold something or did outside work."""

    name: str
    place: Place | None = None
    also_called: tuple[str, ...] = ()
    where: str | None = None
    site: str | None = None
    kind: str | None = None
    note: str | None = None
    private: bool = False


class Step(Struct, frozen=True):
    """A kind of work."""

    key: str
    label: str
    place: Place | None = None  # None: built in
    also_called: tuple[str, ...] = ()
    family: str | None = None
    wait: Duration | None = None
    bares: bool = False
    protects: bool = False
    repeats: bool = False
    typical: int | None = None  # minutes
    limit: Duration | None = None  # how long bared metal may stand
    cautions: tuple[str, ...] = ()
    source: str | None = None  # of the figures


class Route(Struct, frozen=True):
    """The steps a kind of part goes through, in order."""

    name: str
    steps: tuple[str, ...]
    place: Place | None = None


class Machine(Struct, frozen=True):
    """What is being restored."""

    name: str | None = None
    year: str | None = None
    maker: str | None = None
    identity_number: str | None = None
    note: str | None = None
    arrived: date | None = None


class Statement(Struct, frozen=True):
    """What the dossier says of the record beyond its entries, in the owner's words."""

    keeper: str | None = None  # who kept the record and did the work
    owner: str | None = None  # whose machine it is
    purpose: str | None = None  # what the restoration is for
    costs: bool = True  # whether the owner's dossier tells what it cost


class Settings(Struct, frozen=True):
    """`journal.toml`, with the defaults filled in."""

    title: str
    home_currency: str = "EUR"
    home_decimals: int = 2  # of its minor unit, ISO 4217
    locale: str = "en_GB"
    language: str = "en"
    time_zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))
    units: str = "metric"
    address: str | None = None
    theme: str | None = None  # a name, or a path from the journal's folder; the program's own where None
    theme_place: Place | None = None
    machine: Machine = Machine()
    statement: Statement = Statement()
    rates: tuple[tuple[str, Decimal], ...] = ()  # home units for one foreign unit
    hide: frozenset[str] = frozenset({"prices", "suppliers", "storage", "numbers"})  # in the public edition
    targets: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()


class Journal(Struct, frozen=True):
    """The whole record. Sessions are in order of time; names are in the register's spelling."""

    settings: Settings
    sessions: tuple[Session, ...] = ()
    parts: dict[str, Part] = field(default_factory=dict)  # registered first, in the register's order
    materials: dict[str, Material] = field(default_factory=dict)
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    steps: dict[str, Step] = field(default_factory=dict)
    routes: dict[str, Route] = field(default_factory=dict)

    def step_label(self, step: str) -> str:
        """A step by its label; one that neither the trade nor the register knows as it was written."""
        found = self.steps.get(step)
        return found.label if found else step

    def part_spellings(self) -> dict[str, str]:
        """Each part's name by every spelling that leads to it, keyed as names are compared."""
        names = {key(other): part.name for part in self.parts.values() for other in part.also_called}
        return names | {key(name): name for name in self.parts}
