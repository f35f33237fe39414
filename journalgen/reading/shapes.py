"""What each thing a person writes may hold: the keys, and the kind of value of each.

`read` checks one mapping against its shape. Every value that cannot be read is an error at its own
line and column; an unknown key is a warning with the nearest known key, never silently dropped.
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Final, TypeVar, cast

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from journalgen.problems import Problems
from journalgen.reading import fields as f
from journalgen.reading.names import nearest
from journalgen.reading.trees import Node, Plain, Table, is_empty, place_at, plain_table
from journalgen.reading.unreadable import Unreadable


class Shape(BaseModel):
    """A mapping with known keys. A key is the field's name with spaces for underscores, or its alias."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, alias_generator=lambda name: name.replace("_", " ")
    )
    means: ClassVar[str]  # what a person would call it

    @classmethod
    def keys(cls) -> list[str]:
        return [field.alias or name for name, field in cls.model_fields.items()]


class Line(Shape):
    """A line of an entry. `private: yes` takes it out of the public edition."""

    private: f.YesNo = False


class WorkShape(Line):
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
    fitted_with: f.Names = Field((), alias="with")
    result: f.Word | None = None
    note: f.Word | None = None


class UseShape(Line):
    means = "a use of material"
    use: f.Name
    amount: f.Quantity | None = None
    part: f.Names = ()


class PurchaseShape(Line):
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
    party: f.Name | None = Field(None, alias="from")
    ordered: f.Day | None = None
    arrived: f.Day | None = None
    note: f.Word | None = None


class SaleShape(Line):
    means = "a sale"
    part: f.Names = ()
    material: f.Name | None = None
    what: f.Word | None = None
    amount: f.Quantity | None = None
    count: f.Count = 1
    price: f.Cash
    paid: f.Cash | None = None
    rate: f.Rate | None = None
    party: f.Name | None = Field(None, alias="to")
    note: f.Word | None = None


class MeasureShape(Line):
    means = "a measure"
    part: f.Names = ()
    what: f.Name
    value: f.Measured
    limits: f.Range | None = None
    uncertainty: f.Measured | None = None
    note: f.Word | None = None


class DecisionShape(Line):
    means = "a decision"
    part: f.Names
    do: f.Choice
    why: f.Word | None = None


class FoundShape(Line):
    means = "a finding"
    part: f.Names = ()
    condition: f.Word
    severity: f.Severity | None = None


class PhotoShape(Line):
    means = "a photograph"
    file: f.PhotoFile
    part: f.Names = ()
    shows: f.Shows = "during"
    caption: f.Word | None = None
    hide: f.Rectangles = ()


class PairShape(Line):
    means = "a pair"
    part: f.Name
    before: f.PhotoFile | None = None
    after: f.PhotoFile | None = None


def _as_is(value: object) -> Any:
    return value


Lines = Annotated[Any, BeforeValidator(_as_is)]
"""A list whose lines are read one by one, so that a faulty line does not hide its neighbours."""


class EntryShape(Shape):
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


class PartShape(Shape):
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


class MaterialLimitsShape(Shape):
    means = "the limits of a material"
    humidity: f.Range | None = None
    surface: f.Range | None = None
    air: f.Range | None = None
    above_dew_point: f.Measured | None = None


class MaterialShape(Shape):
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


class SupplierShape(Shape):
    means = "a supplier"
    also_called: f.Names = ()
    place: f.Word | None = None
    site: f.Word | None = None
    kind: f.Word | None = None
    note: f.Word | None = None
    private: f.YesNo = False


class StepShape(Shape):
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
        try:
            return shape.model_validate(data, context={"home": home})
        except ValidationError as invalid:
            faulty = _report(shape, node, invalid, problems)
            if not partly or not faulty & data.keys():
                return None
            data = {key: value for key, value in data.items() if key not in faulty}
            if "private" in faulty:
                data["private"] = "yes"  # until it is mended, nothing may leak


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
    return f"The keys of {shape.means} are {_list(shape)}."


def _drop_unknown_inside(shape: type[Shape], key: str, value: Node, data: dict[str, Plain], problems: Problems) -> None:
    """The same for a shape within a shape (the limits of a material)."""
    inner = next((field.annotation for name, field in shape.model_fields.items() if (field.alias or name) == key), None)
    inside = data.get(key)
    is_shape = isinstance(inner, type) and issubclass(inner, Shape)
    if is_shape and isinstance(value, Table) and isinstance(inside, dict):
        _drop_unknown(cast("type[Shape]", inner), value, inside, problems)


def _report(shape: type[Shape], node: Table, invalid: ValidationError, problems: Problems) -> set[str]:
    """Reports each fault at its place; gives the keys at fault."""
    faulty = set()
    for error in invalid.errors():
        path = tuple(error["loc"])
        faulty.add(str(path[0]))
        field = " ".join(str(step) for step in path if isinstance(step, str))
        cause = error.get("ctx", {}).get("error")
        place = place_at(node, path)
        if isinstance(cause, Unreadable):
            problems.error(place, cause.rule, f"{field}: {cause.message}", cause.remedy)
        elif error["type"] == "missing":
            problems.error(place, "key-missing", f"`{field}` is missing from {shape.means}.", f"Add `{field}:`.")
        else:
            problems.error(
                place, "mapping", f"{field}: this is not what is meant here.", "Look at the example in README."
            )
    return faulty


def _list(shape: type[Shape]) -> str:
    return ", ".join(shape.keys())
