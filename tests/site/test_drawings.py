"""The geometry of the drawings."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.site.drawings.axis import Axis, Stretch, busy_stretches
from journalgen.site.drawings.blocks import blocks
from journalgen.site.drawings.limits import place_limits
from journalgen.site.drawings.months import draw_months, months_between, place_months
from journalgen.site.drawings.process import Lettering, Mark, Row, draw_process, label_side, place_ticks
from journalgen.site.drawings.svg import round_step
from journalgen.site.drawings.years import bar_height, draw_year, share_of_year
from journalgen.site.marks.tally import bar_share
from journalgen.site.marks.tray import share_cells

FIRST = date(2024, 3, 1)
LETTERING = Lettering(lambda day: f"{day:%b %Y}", lambda day: f"{day:%d %b}")
days = st.lists(st.integers(0, 1500), min_size=1, max_size=30)


def spans(offsets: list[int]) -> list[tuple[Fraction, Fraction]]:
    return [(Fraction(offset), Fraction(offset)) for offset in offsets]


def well_formed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own


# the axis


@given(days)
def test_days_keep_their_order_and_stay_inside_the_drawing(offsets: list[int]) -> None:
    axis = Axis(busy_stretches(spans(offsets)))
    places = [axis.at(Fraction(day)) for day in sorted(offsets)]
    assert places == sorted(places)
    assert all(0 < place < 1 for place in places)


@given(days)
def test_only_gaps_over_three_weeks_are_folded(offsets: list[int]) -> None:
    ordered = sorted(set(offsets))
    gaps = [after - before for before, after in pairwise(ordered)]
    axis = Axis(busy_stretches(spans(offsets)))
    assert len(axis.folds) == sum(gap > 21 for gap in gaps)
    assert axis.folded_days == sum(gap for gap in gaps if gap > 21)


@given(days)
def test_no_mark_lies_on_a_fold(offsets: list[int]) -> None:
    axis = Axis(busy_stretches(spans(offsets)))
    for day in offsets:
        place = axis.at(Fraction(day))
        assert not any(left <= place <= right for left, right in axis.folds)


def test_time_within_a_stretch_is_to_scale_across_stretches() -> None:
    axis = Axis(busy_stretches(spans([0, 10, 20, 200, 205])))
    first = axis.at(Fraction(10)) - axis.at(Fraction(0))
    assert axis.at(Fraction(20)) - axis.at(Fraction(10)) == first
    assert axis.at(Fraction(205)) - axis.at(Fraction(200)) == first / 2


def test_one_fold_takes_six_in_a_hundred() -> None:
    ((left, right),) = Axis(busy_stretches(spans([0, 100]))).folds
    assert right - left == Fraction(6, 100)


def test_a_single_day_lies_in_the_middle() -> None:
    assert Axis([Stretch(Fraction(5), Fraction(5))]).at(Fraction(5)) == Fraction(1, 2)


def test_a_wait_fills_the_gap_that_it_spans() -> None:
    assert len(busy_stretches([(Fraction(0), Fraction(30)), (Fraction(40), Fraction(40))])) == 1


@given(days)
def test_dates_along_the_top_do_not_run_into_each_other(offsets: list[int]) -> None:
    base = FIRST.toordinal()
    axis = Axis(busy_stretches(spans([base + offset for offset in offsets])))
    places = [x for x, _ in place_ticks(axis, LETTERING)]
    assert places
    assert all(after - before >= Fraction(17, 100) for before, after in pairwise(places))


# the process


BASE = FIRST.toordinal()


def stretch(start: float, end: float) -> Stretch:
    return Stretch(BASE + Fraction(start), BASE + Fraction(end))


def row(label: str, *offsets: int, coat: int | None = None, **more: object) -> Row:
    return Row(label, tuple(Mark(Fraction(BASE + n), coat, **more) for n in offsets))  # type: ignore[arg-type]


def test_the_process_has_a_row_a_step_a_dot_a_mark_and_a_number_a_coat() -> None:
    rows = [row("blast", 0), row("prime", 3, 9, coat=2)]
    drawn = draw_process(rows, FIRST + timedelta(days=400), "said <so>", LETTERING)
    svg = well_formed(drawn.svg)
    assert svg.get("aria-label") == "said <so>"
    assert svg.get("width") == "100%"
    assert svg.get("viewBox") is None
    circles = svg.findall("circle")
    assert [c.get("cy") for c in circles] == ["51", "85", "85"]
    assert [text.text for text in svg.findall("text[@class='on-ink']")] == ["2", "2"]
    assert (drawn.coats, drawn.steps, drawn.waits, drawn.today) == (True, True, False, False)
    assert drawn.folds == 0


def test_a_wait_is_drawn_from_its_step_on() -> None:
    drawn = draw_process(
        [row("prime", 0, coat=1, wait=stretch(0, 2)), row("flat", 4)], FIRST + timedelta(days=99), "", LETTERING
    )
    (wait,) = well_formed(drawn.svg).findall("rect")
    dot = well_formed(drawn.svg).find("circle")
    assert dot is not None
    assert wait.get("x") == dot.get("cx")
    assert wait.get("width") == "47.00%"  # two of four days, of the 94 % between the edges
    assert drawn.waits


def test_the_closing_of_a_window_is_in_view_though_the_time_until_then_is_folded() -> None:
    coat = Mark(Fraction(BASE), 1, stretch(0, 1), stretch(1, 100), closes=True)
    drawn = draw_process([Row("prime", (coat,))], FIRST, "", LETTERING)
    bar = well_formed(drawn.svg).find("line[@class='l-green']")
    box = well_formed(drawn.svg).find("rect[@class='w-open']")
    assert bar is not None
    assert box is not None
    assert drawn.folds == 1
    assert float(bar.get("x1", "").strip("%")) > 50
    ends = float(box.get("x", "").strip("%")) + float(box.get("width", "").strip("%"))
    assert ends == pytest.approx(float(bar.get("x1", "").strip("%")), abs=0.02)
    assert (drawn.closings, drawn.windows) == (True, False)


def test_a_coat_to_come_keeps_the_day_of_assembly_in_view() -> None:
    rows = [row("blast", 0), row("prime", 400, coat=1, to_come=True)]
    drawn = draw_process(rows, FIRST + timedelta(days=400), "", LETTERING)
    assert drawn.today
    assert (drawn.to_come, drawn.coats) == (True, False)
    assert [c.get("class") for c in well_formed(drawn.svg).findall("circle")] == ["f-ink", "f-sheet l-ink"]


@pytest.mark.parametrize(("later", "shown"), [(0, True), (21, True), (22, False), (-1, False)])
def test_the_day_of_assembly_is_drawn_while_it_is_near(later: int, shown: bool) -> None:
    drawn = draw_process([row("blast", 0, 5)], FIRST + timedelta(days=5 + later), "", LETTERING)
    assert drawn.today is shown
    assert bool(well_formed(drawn.svg).findall("line[@class='l-red']")) is shown


@pytest.mark.parametrize(
    ("first", "last", "room", "side"),
    [
        (0.1, 0.4, 0.38, "after"),
        (0.6, 0.9, 0.38, "before"),
        (0.1, 0.9, 0.38, "above"),
        (0.5, 0.5, 0.38, "before"),
        (0.5, 0.5, 0.8, "above right"),
        (0.4, 0.55, 0.42, "after"),
        (0.1, 0.4, 0.7, "above"),
    ],
)
def test_a_label_goes_where_there_is_room(first: float, last: float, room: float, side: str) -> None:
    assert label_side(Fraction(first), Fraction(last), Fraction(room)) == side


@given(st.fractions(0, 1), st.fractions(0, 1), st.fractions(0, 1))
def test_a_label_never_leaves_the_drawing(one: Fraction, other: Fraction, room: Fraction) -> None:
    first, last = sorted((one, other))
    left = {"after": last, "before": first - room, "above": first, "above right": 1 - room}
    start = left[label_side(first, last, room)]
    assert start >= 0
    assert start + room <= 1


# limits


fractions = st.fractions(-1000, 1000, max_denominator=1000)


@given(fractions, fractions, fractions, st.fractions(0, 50, max_denominator=100))
def test_limits_value_and_doubt_are_always_in_view(a: Fraction, b: Fraction, value: Fraction, doubt: Fraction) -> None:
    low, high = min(a, b), max(a, b)
    shape = place_limits(low, high, value, doubt)
    for place in (shape.low, shape.high, shape.value_low, shape.value, shape.value_high):
        assert 0 <= place <= 1
    assert shape.low <= shape.high
    assert (shape.value >= shape.low) == (value >= low)
    assert (shape.value <= shape.high) == (value <= high)
    assert (shape.value_low >= shape.low) == (value - doubt >= low)


def test_the_proven_part_is_the_limits_less_the_uncertainty() -> None:
    shape = place_limits(Fraction(8), Fraction(12), Fraction("9.4"), Fraction("0.2"))
    assert (shape.low, shape.high) == (Fraction(1, 6), Fraction(5, 6))
    assert (shape.inner_low, shape.inner_high) == (Fraction("0.2"), Fraction("0.8"))
    assert shape.value == Fraction("0.4")


def test_an_open_side_reaches_the_edge() -> None:
    shape = place_limits(Fraction(1), None, Fraction("0.7"), Fraction(0))
    assert shape.high == shape.inner_high == 1
    assert shape.value < shape.low == Fraction(1, 2)


# months and years


def test_months_without_money_keep_their_place() -> None:
    shape = place_months({"2023-11": Decimal(100), "2024-02": Decimal(50)})
    assert [bar.month for bar in shape.bars] == ["2023-11", "2024-02"]
    assert shape.bars[1].x - shape.bars[0].x == Fraction(3, 4)
    assert shape.bars[0].height == 2 * shape.bars[1].height == 106


def test_money_that_came_back_hangs_below_the_line_as_an_open_box() -> None:
    shape = place_months({"2024-01": Decimal(30), "2024-02": Decimal(-10)})
    up, down = shape.bars
    assert up.y + up.height == shape.base == down.y
    assert down.below
    assert down.y + down.height == 126
    drawn = draw_months({"2024-01": Decimal(30), "2024-02": Decimal(-10)}, "a < b", str)
    assert [r.get("class") for r in well_formed(drawn).findall("rect")] == ["f-green", "w-open"]
    assert well_formed(drawn).get("aria-label") == "a < b"


def test_no_money_draws_nothing_and_nought_draws_no_bar() -> None:
    assert draw_months({}, "", str) == ""
    assert not well_formed(draw_months({"2024-01": Decimal(0)}, "", str)).findall("rect")


@given(st.decimals("0.01", 10**6, places=2))
def test_the_grid_has_at_most_so_many_round_figures(most: Decimal) -> None:
    grid = place_months({"2024-01": most}).grid
    assert 2 <= len(grid) <= 5
    assert grid[-1][0] <= most
    assert all(figure.normalize().as_tuple().digits[0] in range(1, 10) for figure, _ in grid)


@pytest.mark.parametrize(
    ("span", "most", "step"), [("310", 4, "100"), ("868", 5, "200"), ("5", 5, "1"), ("0.5", 5, "0.1")]
)
def test_round_steps(span: str, most: int, step: str) -> None:
    assert round_step(Fraction(span), most) == Decimal(step)


def test_a_year_that_would_run_into_the_next_has_no_lettering() -> None:
    sums = {month: Decimal(1) for month in months_between("2022-12", "2024-12")}
    assert [year for year, _ in place_months(sums).years] == ["2023", "2024"]


def test_a_years_bars_share_one_scale_and_the_rings_lie_on_their_day() -> None:
    svg = well_formed(draw_year({1: 120, 12: 60}, 120, [(3, date(2024, 7, 1))], date(2024, 4, 1)))
    assert [(r.get("x"), r.get("height")) for r in svg.findall("rect")] == [("0.90%", "34.0"), ("92.57%", "17.0")]
    ring = svg.find("svg")
    assert ring is not None
    assert ring.get("x") == "50.00%"
    assert ring.findtext("text") == "3"
    assert [line.get("x1") for line in svg.findall("line[@class='l-red']")] == ["25.00%"]


def test_the_short_drawing_of_a_year_has_the_same_bars() -> None:
    months = {1: 120, 7: 1, 12: 60}
    bars = [
        (float(r.get("x", "")[:-1]), float(r.get("width", "")[:-1]), float(r.get("height", "")))
        for r in well_formed(draw_year(months, 120)).findall("rect")
    ]
    short = draw_year(months, 120, short=True)
    drawn = re.findall(r"M(\d+) 44v-([\d.]+)h(\d+)v\2", well_formed(short).find("svg/path").get("d", ""))
    assert [(pytest.approx(x, abs=0.01), pytest.approx(width, abs=0.01), height) for x, width, height in bars] == [
        (int(x) / 99.99, int(width) / 99.99, float(height)) for x, height, width in drawn
    ]
    full = dict.fromkeys(range(1, 13), 60)
    assert len(draw_year(full, 120, short=True)) < len(draw_year(full, 120)) * 0.55


@given(st.dates(date(2000, 1, 1), date(2030, 12, 31)))
def test_every_day_lies_within_its_year_and_its_own_month(day: date) -> None:
    assert Fraction(day.month - 1, 12) <= share_of_year(day) < Fraction(day.month, 12)


def test_a_month_with_any_work_can_be_seen() -> None:
    assert bar_height(1, 10_000) == 1.5
    assert bar_height(0, 10_000) == 0


# bars, blocks, trays


@pytest.mark.parametrize(
    ("figure", "greatest", "share"), [(30, 120, "0.250"), (-5, 120, "0.000"), (0, 0, "0.000"), (7, 7, "1.000")]
)
def test_bars_are_shares_of_the_greatest_figure(figure: int, greatest: int, share: str) -> None:
    assert bar_share(figure, greatest) == share


@pytest.mark.parametrize(("minutes", "width"), [(195, "3.25"), (0, "0.00"), (24 * 60, "12.00")])
def test_blocks_are_hours_but_do_not_burst_the_card(minutes: int, width: str) -> None:
    assert blocks(minutes) == width


@given(st.dictionaries(st.sampled_from(["fitted", "waiting", "in work", "as found"]), st.integers(1, 5000), min_size=1))
def test_a_large_tray_has_a_hundred_cells_and_drops_no_state(counts: dict[str, int]) -> None:
    cells = share_cells(counts, 100)
    assert len(cells) == 100
    assert set(cells) == set(counts)
    whole = sum(counts.values())
    for state, count in counts.items():
        assert abs(cells.count(state) - count * 100 / whole) < 4
