"""The geometry of the stock over time, the dew point, and a measure over time."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from journalgen.ledgers.series import find_series
from journalgen.records import Measure
from journalgen.site.drawings.dew_point import draw_dew_point, place_dew_point
from journalgen.site.drawings.series import draw_series, place_series
from journalgen.site.drawings.stock import draw_stock, place_stock
from journalgen.values import Limits
from tests.site.samples import at, length, session

JAN, FEB, MAR, JUL = (date(2024, month, 1) for month in (1, 2, 3, 7))
F = Fraction


def test_each_level_lasts_until_the_next_move_and_the_last_until_the_day_of_assembly() -> None:
    shape = place_stock([(JAN, F(500)), (FEB, F(400)), (MAR, F(0))], date(2024, 3, 31))
    assert [(level.start, level.end) for level in shape.levels] == [
        (0, F(31, 90)),
        (F(31, 90), F(60, 90)),
        (F(2, 3), 1),
    ]
    assert [level.y for level in shape.levels] == [22, F(126) - 400 * F(104, 500), 126]
    assert shape.base == 126
    assert [figure for figure, _ in shape.grid] == [200, 400]


def test_what_moved_within_a_day_shows_as_the_day_ended() -> None:
    shape = place_stock([(JAN, F(500)), (JAN, F(300)), (FEB, F(200))], FEB)
    assert [level.y for level in shape.levels] == [F(126) - 300 * F(104, 500), F(126) - 200 * F(104, 500)]


def test_a_shortfall_lies_below_the_line_and_is_drawn_in_red() -> None:
    points = [(JAN, F(100)), (FEB, F(-50))]
    shape = place_stock(points, MAR)
    assert [level.short for level in shape.levels] == [False, True]
    assert shape.levels[1].y > shape.base
    svg = etree.fromstring(draw_stock(points, MAR, "left <3>", str, str))
    assert svg.get("aria-label") == "left <3>"
    assert {line.get("y1") for line in svg.iter("line") if line.get("class") == "l-red" and line.get("x1") != "0.00%"}


def test_a_single_day_and_nothing_left_are_borne() -> None:
    assert draw_stock([], MAR, "", str, str) == ""
    shape = place_stock([(JAN, F(0))], JAN)
    assert (shape.levels[0].start, shape.levels[0].end) == (0, 1)


def test_many_moves_are_drawn_as_far_as_they_can_be_told_apart_and_no_shortfall_is_lost() -> None:
    points = [(date(2020, 1, 1) + timedelta(days=n), F(500 + n % 7)) for n in range(3650)]
    points[1800] = (points[1800][0], F(-20))
    shape = place_stock(points, date(2030, 1, 1))
    assert 200 < len(shape.levels) <= 250
    assert [level.short for level in shape.levels].count(True) == 1
    assert shape.levels[-1].y == shape.base - points[-1][1] * F(104, 526)
    assert [level.end for level in shape.levels[:-1]] == [level.start for level in shape.levels[1:]]
    assert (shape.levels[0].start, shape.levels[-1].end) == (0, 1)
    assert len(draw_stock(points, date(2030, 1, 1), "x", str, str)) < 120_000


@given(st.lists(st.tuples(st.dates(date(2020, 1, 1), date(2026, 1, 1)), st.fractions(-1000, 1000)), min_size=1))
def test_the_stock_never_leaves_its_drawing(points: list[tuple[date, Fraction]]) -> None:
    points.sort(key=lambda point: point[0])
    shape = place_stock(points, date(2023, 1, 1))
    assert all(0 <= level.start <= level.end <= 1 and 22 <= level.y <= 126 for level in shape.levels)
    assert all(0 <= y <= 127 for _, y in shape.grid)
    etree.fromstring(draw_stock(points, date(2023, 1, 1), "x", str, str))


def test_the_dew_point_and_what_is_too_near_lie_on_a_round_scale() -> None:
    shape = place_dew_point(F("8.8"), F(3), [("dew", F("8.8")), ("surface", F("16.5")), ("air", F(18))])
    assert [figure for figure, _ in shape.ticks] == [8, 10, 12, 14, 16, 18]
    assert shape.near == (F("0.08"), F("0.38"))
    assert [(sign.x, sign.end) for sign in shape.signs] == [(F("0.08"), False), (F("0.85"), True), (F(1), True)]


@pytest.mark.parametrize("others", [("10.5", "11"), ("16.5", "18"), ("9", "30"), ("10", "10"), ("12.9", "13")])
def test_no_words_meet_other_words_or_the_line_of_a_higher_sign(others: tuple[str, str]) -> None:
    signs = [("dew", F(10)), ("surface", F(others[0])), ("air", F(others[1]))]
    placed = place_dew_point(F(10), F(3), signs).signs
    spans = [(sign.x - F("0.3"), sign.x) if sign.end else (sign.x, sign.x + F("0.3")) for sign in placed]
    assert all(start >= 0 and end <= 1 for start, end in spans)
    for sign, (start, end) in zip(placed, spans, strict=True):
        for other, (left, right) in zip(placed, spans, strict=True):
            assert sign is other or sign.row != other.row or end <= left or right <= start
            assert other.row >= sign.row or not start < other.x < end


@given(st.fractions(-20, 40), st.fractions(-20, 40), st.fractions(-20, 40))
def test_every_temperature_is_in_view(dew: Fraction, surface: Fraction, air: Fraction) -> None:
    signs = [("dew", dew), ("surface", surface), ("air", air)]
    shape = place_dew_point(dew, F(3), signs)
    assert all(0 <= x <= 1 for x in (*shape.near, *(sign.x for sign in shape.signs), *(x for _, x in shape.ticks)))
    assert shape.ticks[0][1] == 0
    assert shape.ticks[-1][1] == 1
    etree.fromstring(draw_dew_point(dew, F(3), signs, "x", str))


def series(limits: Limits | None = None, doubt: str = "0.02", values: tuple[str, ...] = ("0.40", "0.30", "0.20")):
    days = ("2024-01-01", "2024-01-11", "2024-03-01")
    return find_series([
        (session(day, "Day"), Measure(at(3), "float", length(value), ("axle",), limits, length(doubt)))
        for day, value in zip(days, values, strict=True)
    ])[0]  # fmt: skip


def test_readings_lie_by_day_and_value_with_their_doubt() -> None:
    shape = place_series(series())
    xs, ys = [dot.x for dot in shape.dots], [dot.y for dot in shape.dots]
    assert xs[0] == F(4, 100)
    assert (xs[1] - xs[0]) * 5 == (xs[2] - xs[1]) * 1
    assert ys[2] - ys[1] == ys[1] - ys[0] > 0
    assert all(dot.top < dot.y < dot.bottom for dot in shape.dots)
    assert shape.band is None


def test_the_limits_are_a_band_and_an_open_side_reaches_the_edge() -> None:
    both = place_series(series(Limits(length("0.10"), length("0.30"), "")))
    assert both.band == (both.dots[1].y, both.band[1])
    top, bottom = place_series(series(Limits(None, length("0.30"), ""))).band or (0, 0)
    assert bottom == 126
    assert top < bottom


@pytest.mark.parametrize("value", ["0.30", "0"])
def test_a_value_that_never_changed_is_drawn_in_the_middle(value: str) -> None:
    shape = place_series(series(doubt="0", values=(value, value, value)))
    assert {dot.y for dot in shape.dots} == {F(70)}
    etree.fromstring(draw_series(series(), "x", lambda figure: f"{Decimal(figure)} mm", str))
