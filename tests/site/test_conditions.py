"""The conditions of a session's page: what was taken, its limits, the dew point, and the verdict."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.records import MaterialLimits, Session, WorkLine
from journalgen.values import Amount, Limits
from tests.site.samples import SETTINGS, at, edition, every, journal, of_class, one, session, trees, words


def percent(number: str) -> Amount:
    return Amount(Decimal(number), "%", "ratio", Fraction(1, 100))


DAMP = WorkLine(at(3), ("axle",), "prime", 1, 60, "zinc primer", None, Decimal(20), Decimal(90), Decimal("19"))
LIMITS = MaterialLimits(humidity=Limits(None, percent("85"), "at most 85 %"))


def field(of: Session, units: str = "metric", limits: MaterialLimits = LIMITS) -> HtmlElement:
    """The field of conditions on a session's page."""
    whole = journal(of, settings=replace(SETTINGS, units=units))
    primer = replace(whole.materials["zinc primer"], limits=limits)
    site = trees(edition(replace(whole, materials=whole.materials | {"zinc primer": primer})))
    return one(site[f"sessions/{of.page}.html"], "section[@aria-labelledby='air']")


def flagged(of: HtmlElement) -> list[str]:
    return [words(span) for span in every(of, of_class("flag", "span"))]


def test_a_coat_laid_too_near_the_dew_point_and_too_damp_is_flagged() -> None:
    found = field(session("2024-03-01", "Damp", work=(DAMP,)))
    assert flagged(found) == [
        "The surface was 0.7 °C above the dew point; at least 3 °C is wanted.", "90 %", "not fit for this coat"
    ]  # fmt: skip
    assert "limit: at most 85 %" in words(found)
    assert "dew point 18.3, surface 19.0, air 20.0 °C" in one(found, "svg").get("aria-label")


def test_a_surface_below_the_dew_point_is_said_to_be_so() -> None:
    found = field(session("2024-03-01", "Wet", work=(replace(DAMP, surface=Decimal(15)),)))
    assert "3.3 °C below the dew point; at least 3 °C above it is wanted" in words(found)


def test_a_coat_in_fit_conditions_is_not_flagged() -> None:
    dry = replace(DAMP, humidity=Decimal(50))
    found = field(session("2024-03-01", "Dry", work=(dry,)))
    assert flagged(found) == []
    assert "fit for this coat" in words(found)


def test_a_material_may_want_more_than_three_degrees() -> None:
    limits = MaterialLimits(above_dew_point=Amount(Decimal(5), "degC", "temperature", Fraction(1)))
    found = field(session("2024-03-01", "Dry", work=(replace(DAMP, humidity=Decimal(75)),)), limits=limits)
    assert "at least 5 °C is wanted" in words(found)


def test_imperial_units_turn_temperatures_and_differences() -> None:
    found = field(session("2024-03-01", "Damp", work=(DAMP,)), units="imperial")
    assert "at least 5.4 °F is wanted" in words(found)
    assert "surface 66.2, air 68.0 °F" in one(found, "svg").get("aria-label")


def test_lines_in_the_same_conditions_stand_together_and_others_apart() -> None:
    lines = (DAMP, replace(DAMP, parts=("front wheel",)), replace(DAMP, parts=("running gear",), air=Decimal(25)))
    found = field(session("2024-03-01", "Three", work=lines))
    assert [words(dd) for dd in every(found, "dl/div[dt='For']/dd")] == [
        "axle, front wheel, zinc primer", "running gear, zinc primer"
    ]  # fmt: skip
    assert [pattern.get("id") for pattern in every(found, "pattern")] == ["hatch-near-1", "hatch-near-2"]


def test_work_that_lays_no_coat_has_its_conditions_but_no_verdict() -> None:
    blast = WorkLine(at(3), ("axle",), "blast", minutes=60, air=Decimal(20), humidity=Decimal(90))
    found = field(session("2024-03-01", "Blast", work=(blast,)))
    assert words(found).startswith("Conditions Air, surface and dew point Air 20 °C Humidity 90 %")
    assert "fit" not in words(found)
    assert not every(found, "svg")
