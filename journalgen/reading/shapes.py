"""What each thing a person writes may hold: the keys, and the kind of value of each.

`read` checks one mapping against its shape. Every value that cannot be read is an error at its own
line and column; an unknown key is a warning with the nearest known key, never silently dropped.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Any, ClassVar, Final, NamedTuple, TypeVar, get_args, get_type_hints

from msgspec import NODEFAULT, Struct, field
from msgspec.structs import fields

from journalgen.problems import Problems
from journalgen.reading import fields as f
from journalgen.reading.names import nearest
from journalgen.reading.trees import Node, Plain, Table, is_empty, place_at, plain_table
from journalgen.reading.unreadable import Unreadable


class Shape(Struct, frozen=True, kw_only=True, rename=lambda name: name.replace("_", " ")):
    """A mapping with known keys. A key is the field's name with spaces for underscores, or the name it is given."""

    means: ClassVar[str]  # what a person would call it

    @classmethod
    def keys(cls) -> list[str]:
        return list(_keys_of(cls))


class _Key(NamedTuple):
    """What one key of a shape holds."""

    field: str
    holds: f.Reads | type[Shape]
    needed: bool


@cache
def _keys_of(shape: type[Shape]) -> dict[str, _Key]:
    """The keys of a shape, in order."""
    hints = get_type_hints(shape, include_extras=True)
    return {
        row.encode_name: _Key(row.name, _holds(hints[row.name]), _is_needed(row.default, row.default_factory))
        for row in fields(shape)
    }


def _is_needed(*defaults: object) -> bool:
    return all(default is NODEFAULT for default in defaults)


def _holds(hint: Any) -> f.Reads | type[Shape]:
    """The `Reads` in a field's type, itself or beside None; else the shape it is."""
    for found in (hint, *get_args(hint)):
        for note in getattr(found, "__metadata__", ()):
            if isinstance(note, f.Reads):
                return note
    if not (isinstance(hint, type) and issubclass(hint, Shape)):
        raise TypeError(f"{hint} does not say how it is read.")
    return hint


class Line(Shape, frozen=True, kw_only=True):
    """A line of an entry. `private: yes` takes it out of the public edition."""

    private: f.YesNo = False


class WorkShape(Line, frozen=True, kw_only=True):
    means = "a line of work"
    part: f.Names = ()
    step: f.Name | None = None
    coat: f.Count | None = None
    hours: f.Hours | None = None
    material: f.Name | None = None
    amount: f.Quantity | None = None
    air: f.Celsius | None = None
    humidity: f.Share | None = None
    surface: f.Celsius | None = None
    wait: f.Wait | None = None
    fitted_with: f.Names = field(default=(), name="with")
    result: f.Word | None = None
    note: f.Word | None = None


class UseShape(Line, frozen=True, kw_only=True):
    means = "a use of material"
    use: f.Name
    amount: f.Quantity | None = None
    part: f.Names = ()


class PurchaseShape(Line, frozen=True, kw_only=True):
    means = "a purchase"
    part: f.Names = ()
    material: f.Name | None = None
    kind: f.Kind | None = None
    what: f.Word | None = None
    amount: f.Quantity | None = None
    count: f.Count = 1
    price: f.Cash | None = None
    postage: f.Cash | None = None
    duty: f.Cash | None = None
    tax: f.Cash | None = None
    paid: f.Cash | None = None
    rate: f.Rate | None = None
    party: f.Name | None = field(default=None, name="from")
    ordered: f.Day | None = None
    arrived: f.Day | None = None
    note: f.Word | None = None


class SaleShape(Line, frozen=True, kw_only=True):
    means = "a sale"
    part: f.Names = ()
    material: f.Name | None = None
    what: f.Word | None = None
    amount: f.Quantity | None = None
    count: f.Count = 1
    price: f.Cash
    paid: f.Cash | None = None
    rate: f.Rate | None = None
    party: f.Name | None = field(default=None, name="to")
    note: f.Word | None = None


class MeasureShape(Line, frozen=True, kw_only=True):
    means = "a measure"
    part: f.Names = ()
    what: f.Name
    value: f.Measured
    limits: f.Range | None = None
    uncertainty: f.Measured | None = None
    note: f.Word | None = None


class DecisionShape(Line, frozen=True, kw_only=True):
    means = "a decision"
    part: f.Names
    do: f.Choice
    why: f.Word | None = None


class FoundShape(Line, frozen=True, kw_only=True):
    means = "a finding"
    part: f.Names = ()
    condition: f.Word
    severity: f.Severity | None = None


class PhotoShape(Line, frozen=True, kw_only=True):
    means = "a photograph"
    file: f.PhotoFile
    part: f.Names = ()
    shows: f.Shows = "during"
    caption: f.Word | None = None
    hide: f.Rectangles = ()


class PairShape(Line, frozen=True, kw_only=True):
    means = "a pair"
    part: f.Name
    before: f.PhotoFile | None = None
    after: f.PhotoFile | None = None


Lines = Annotated[Any, f.Reads(lambda value, home: value)]
"""A list whose lines are read one by one, so that a faulty line does not hide its neighbours."""


class EntryShape(Shape, frozen=True, kw_only=True):
    means = "an entry"
    date: f.Day | None = None
    start: f.Clock | None = None
    title: f.Word | None = None
    hours: f.SessionHours | None = None
    parts: f.Names = ()
    private: f.YesNo = False
    work: Lines = None
    materials: Lines = None
    bought: Lines = None
    sold: Lines = None
    measures: Lines = None
    decisions: Lines = None
    found: Lines = None
    photos: Lines = None
    pair: Lines = None


class PartShape(Shape, frozen=True, kw_only=True):
    means = "a part"
    assembly: f.Name | None = None
    also_called: f.Names = ()
    number: f.Word | None = None
    quantity: f.Count = 1
    area: f.Quantity | None = None
    route: f.Name | None = None
    decision: f.Choice | None = None
    stored: f.Word | None = None
    needs: f.Names = ()
    safety: f.Safety | None = None
    note: f.Word | None = None


class MaterialLimitsShape(Shape, frozen=True, kw_only=True):
    means = "the limits of a material"
    humidity: f.Range | None = None
    surface: f.Range | None = None
    air: f.Range | None = None
    above_dew_point: f.Measured | None = None


class MaterialShape(Shape, frozen=True, kw_only=True):
    means = "a material"
    also_called: f.Names = ()
    kind: f.Word | None = None
    solids: f.Share | None = None
    film: f.Film | None = None
    loss: f.Share | None = None
    thinner: f.Thinning | None = None
    density: f.Density | None = None
    recoat: f.Recoat | None = None
    cure: f.Wait | None = None
    limits: MaterialLimitsShape = MaterialLimitsShape()
    keeps: f.Wait | None = None
    colour: f.Colour | None = None
    hazards: f.Hazards = ()
    safety_sheet: f.Word | None = None
    note: f.Word | None = None


class SupplierShape(Shape, frozen=True, kw_only=True):
    means = "a supplier"
    also_called: f.Names = ()
    place: f.Word | None = None
    site: f.Word | None = None
    kind: f.Word | None = None
    note: f.Word | None = None
    private: f.YesNo = False


class StepShape(Shape, frozen=True, kw_only=True):
    means = "a step"
    label: f.Word | None = None
    also_called: f.Names = ()
    family: f.Name | None = None
    wait: f.Wait | None = None
    bares: f.YesNo = False
    protects: f.YesNo = False
    repeats: f.YesNo = False
    typical: f.Hours | None = None
    limit: f.Wait | None = None
    cautions: f.Names = ()
    source: f.Word | None = None


S = TypeVar("S", bound=Shape)
_GUARDS: Final = frozenset({"private", "hide"})
"""Keys that keep something from being published: what is wrong with them is never a mere warning."""


def read(shape: type[S], node: Node, problems: Problems, home: str, *, partly: bool = False) -> S | None:
    """One mapping as its shape, every problem in it reported; None if any value cannot be read.

    With `partly`, what cannot be read is left out and the rest is given, as long as nothing that
    the shape cannot do without is missing.
    """
    if not isinstance(node, Table):
        problems.error(
            node.place,
            "mapping",
            f"This should be {shape.means}.",
            f"Write {{key: value}} with the keys {_list(shape)}.",
        )
        return None
    data = plain_table(node)
    data |= {key: "" for key in _GUARDS & node.keys.keys() if key not in data}  # `private:` says nothing: ask
    _drop_unknown(shape, node, data, problems)
    while True:
        faults: list[_Fault] = []
        made = _make(shape, data, home, (), faults)
        if made is not None:
            return made
        faulty = {_report(shape, node, fault, problems) for fault in faults}
        if not partly or not faulty & data.keys():
            return None
        data = {key: value for key, value in data.items() if key not in faulty}
        if "private" in faulty:
            data["private"] = "yes"  # until it is mended, nothing may leak


class _Fault(NamedTuple):
    path: tuple[str, ...]
    cause: Unreadable | None  # None: it is missing


def _make(shape: type[S], data: dict[str, Plain], home: str, path: tuple[str, ...], faults: list[_Fault]) -> S | None:
    """The shape of a mapping's texts; None where a value cannot be read or is missing, each told in `faults`."""
    values: dict[str, Any] = {}
    before = len(faults)
    for key, (name, holds, needed) in _keys_of(shape).items():
        if key not in data:
            if needed:
                faults.append(_Fault((*path, key), None))
            continue
        try:
            values[name] = _value(holds, data[key], home, (*path, key), faults)
        except Unreadable as cause:
            faults.append(_Fault((*path, key), cause))
    return shape(**values) if len(faults) == before else None


def _value(
    holds: f.Reads | type[Shape], value: Plain, home: str, path: tuple[str, ...], faults: list[_Fault]
) -> object:
    if isinstance(holds, f.Reads):
        return holds.parse(value, home)
    if not isinstance(value, dict):
        raise Unreadable("mapping", "this is not what is meant here.", "Look at the example in README.")
    return _make(holds, value, home, path, faults)


def _drop_unknown(shape: type[Shape], node: Table, data: dict[str, Plain], problems: Problems) -> None:
    known = shape.keys()
    for key, place in node.keys.items():
        if key in known:
            _drop_unknown_inside(shape, key, node.values[key], data, problems)
            continue
        data.pop(key, None)
        near = nearest(key, known)
        report = problems.error if near in _GUARDS else problems.warning  # a misspelt `private` would leak
        report(
            place,
            "unknown-key",
            f"`{key}` is not a key of {shape.means}, so it is not counted.",
            _remedy_for(key, near, node.values[key], shape),
        )


def _remedy_for(key: str, near: str | None, value: Node, shape: type[Shape]) -> str:
    """The nearest key; for `{part: axle, hub}`, which is YAML for a second key `hub`, the list that was meant."""
    if near:
        return f"Did you mean `{near}`?"
    if is_empty(value):
        return f"If `{key}` belongs to the text before it, use brackets or quotes: [one, {key}]."
    return f"The keys of {shape.means} are: {_list(shape)}."


def _drop_unknown_inside(shape: type[Shape], key: str, value: Node, data: dict[str, Plain], problems: Problems) -> None:
    """The same for a shape within a shape (the limits of a material)."""
    inner, inside = _keys_of(shape)[key].holds, data.get(key)
    if not isinstance(inner, f.Reads) and isinstance(value, Table) and isinstance(inside, dict):
        _drop_unknown(inner, value, inside, problems)


def _report(shape: type[Shape], node: Table, fault: _Fault, problems: Problems) -> str:
    """Reports a fault at its place; gives the key at fault."""
    named, place = " ".join(fault.path), place_at(node, fault.path)
    if fault.cause is None:
        problems.error(place, "key-missing", f"`{named}` is missing from {shape.means}.", f"Add `{named}:`.")
    else:
        problems.error(place, fault.cause.rule, f"{named}: {fault.cause.message}", fault.cause.remedy)
    return fault.path[0]


def _list(shape: type[Shape]) -> str:
    return ", ".join(f"`{key}`" for key in shape.keys())  # noqa: SIM118 - it is no mapping
