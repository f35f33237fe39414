"""Journals that are nearly right: known keys, and any of what is known to bite in the place of a value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from hypothesis import strategies as st

from journalgen.beginning import yaml_flow
from journalgen.reading import shapes
from tests.fuzz.hostile import NAMES, SCALARS
from tests.journals import SETTINGS

GOOD: Final = [
    "wheel", "front wheel", "lever", "zinc primer", "etch", "prime", "2:30", "1.5", "120 mL", "2 sheets", "0.5 L",
    "18 degC", "55 %", "48 h", "4 h .. 7 d", "34.975 .. 35.000 mm", "34.981 mm", "0.004 mm", "18.50 EUR", "21.40 GBP",
    "7", "2024-03-09", "2023-12-31", "19:15", "yes", "no", "before", "after", "repair", "make", "bad", "brakes",
    "wheel.jpg", "#8a8f92", "H226", "reproduction", "outside work", "refund", "40 um", "1.42 kg/L", "0.42 m2",
    "a seller", "running gear", "painted steel",
]  # fmt: skip
_TEXT: Final = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
SCALAR: Final = st.sampled_from(GOOD) | st.sampled_from(SCALARS) | _TEXT

_SHAPES: Final = {
    "work": shapes.WorkShape, "materials": shapes.UseShape, "bought": shapes.PurchaseShape, "sold": shapes.SaleShape,
    "measures": shapes.MeasureShape, "decisions": shapes.DecisionShape, "found": shapes.FoundShape,
    "photos": shapes.PhotoShape, "pair": shapes.PairShape,
}  # fmt: skip


def _value(depth: int = 2) -> st.SearchStrategy[Any]:
    if not depth:
        return SCALAR
    inner = _value(depth - 1)
    return SCALAR | st.lists(inner, max_size=4) | st.dictionaries(SCALAR, inner, max_size=3)


def _mapping(shape: type[shapes.Shape]) -> st.SearchStrategy[dict[str, Any]]:
    keys = st.sampled_from(shape.keys()) | SCALAR
    return st.dictionaries(keys, _value(1), max_size=6)


@st.composite
def entries(draw: st.DrawFn) -> bytes:
    """An entry's bytes."""
    front: dict[str, Any] = {}
    for key in draw(st.lists(st.sampled_from(shapes.EntryShape.keys()), unique=True, max_size=7)):
        lines = _SHAPES.get(key)
        front[key] = draw(st.lists(_mapping(lines), max_size=3) if lines else _value())
    body = draw(_TEXT | st.lists(st.sampled_from(SCALARS), max_size=4).map("\n\n".join))
    block = draw(st.sampled_from(["", "pair", "photos", "measure"]))
    if block:
        held = draw(_mapping(_SHAPES["measures" if block == "measure" else block]))
        body += f"\n\n```{block}\n{_yaml(held)}\n```\n"
    return f"---\n{_yaml(front)}\n---\n{body}".encode("utf-8", "surrogatepass")


def _yaml(value: Mapping[str, Any]) -> str:
    return "\n".join(f"{yaml_flow(key)}: {yaml_flow(held)}" for key, held in value.items())


def _register(shape: type[shapes.Shape]) -> st.SearchStrategy[bytes]:
    rows = st.dictionaries(SCALAR, _mapping(shape) | _value(1), max_size=5)
    return rows.map(lambda held: _yaml(held).encode("utf-8", "surrogatepass"))


def _toml(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    return '"' + "".join(f"\\u{ord(c):04x}" if ord(c) < 32 or c in '"\\\x7f' else c for c in value) + '"'


@st.composite
def settings(draw: st.DrawFn) -> bytes:
    """The bytes of a journal.toml."""
    keys = ["title", "home_currency", "locale", "language", "time_zone", "units", "address", "theme"]
    lines = [f"{key} = {_toml(draw(SCALAR))}" for key in draw(st.lists(st.sampled_from(keys), unique=True, max_size=5))]
    for table, names in (
        ("machine", ["name", "year", "identity_number", "x"]),
        ("rates", ["EUR", "ITL", "XXX", "y"]),
        ("editions.public", ["hide", "theme"]),
        ("targets.web", ["url", "user", "password"]),
    ):
        if draw(st.booleans()):
            lines.append(f"[{table}]")
            picked = draw(st.lists(st.sampled_from(names), unique=True, max_size=3))
            lines += [f"{name} = {_toml(draw(SCALAR | st.lists(SCALAR, max_size=3)))}" for name in picked]
    return "\n".join(lines).encode("utf-8", "surrogatepass")


@st.composite
def journals(draw: st.DrawFn) -> dict[str, bytes]:
    """The files of a journal: some entries under names good and bad, and here and there a register."""
    files = {"journal.toml": draw(st.just(SETTINGS.encode()) | settings())}
    for n in range(draw(st.integers(0, 3))):
        name = draw(st.just(f"2024-03-0{n + 1}-a-day.md") | st.sampled_from(NAMES))
        files[f"entries/{name}"] = draw(entries())
    for name, shape in (
        ("parts", shapes.PartShape),
        ("materials", shapes.MaterialShape),
        ("suppliers", shapes.SupplierShape),
        ("steps", shapes.StepShape),
    ):
        if draw(st.booleans()):
            files[f"register/{name}.yaml"] = draw(_register(shape))
    if "register/steps.yaml" in files and draw(st.booleans()):
        routes = draw(st.dictionaries(SCALAR, st.lists(SCALAR, max_size=5), max_size=3))
        steps = draw(st.dictionaries(SCALAR, _mapping(shapes.StepShape), max_size=4))
        files["register/steps.yaml"] = _yaml({"steps": steps, "routes": routes}).encode("utf-8", "surrogatepass")
    return files
