"""The geometry of the section through a part's coats, and of the forecast."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from journalgen.site.drawings.coats import (
    LABEL_GAP,
    LEAST_SCALE,
    MOST_SCALE,
    NOMINAL,
    Layer,
    Lettering,
    draw_section,
    place_section,
    shorten,
    spread,
)
from journalgen.site.drawings.forecast import MOST_TICKS, draw_forecast, place_forecast

F = Fraction
LETTERING = Lettering("bare <surface>", "Blast", "wanted build", lambda um: str(round(um)))
films = st.lists(st.one_of(st.none(), st.fractions(1, 400, max_denominator=10)), min_size=1, max_size=25)
wants = st.one_of(st.none(), st.fractions(1, 2000, max_denominator=10))


def laid(film: Fraction | None, **more: object) -> Layer:
    return Layer("1", "red primer", "40 um", film, "#8a4232", **more)  # type: ignore[arg-type]


@given(films, wants)
def test_the_bands_add_up_to_the_films_at_one_scale(thick: list[Fraction | None], wanted: Fraction | None) -> None:
    shape = place_section(thick, None, wanted)
    assert LEAST_SCALE <= shape.scale <= MOST_SCALE
    assert [band.height for band in shape.bands] == [(f or NOMINAL) * shape.scale for f in thick]
    assert shape.bands[0].y + shape.bands[0].height == shape.surface
    for below, above in pairwise(shape.bands):
        assert above.y + above.height == below.y
        assert above.x > below.x  # cut back, so that the one beneath shows
        assert above.x + above.width == below.x + below.width == 176
    assert shape.bands[-1].width >= 126 - 72
    assert shape.top >= 34


@given(films, wants)
def test_labels_never_overlap_and_stay_inside_in_the_order_of_the_coats(
    thick: list[Fraction | None], wanted: Fraction | None
) -> None:
    shape = place_section(thick, None, wanted)
    labels = [band.label for band in reversed(shape.bands)] + [shape.steel_label]
    assert all(below - above >= LABEL_GAP for above, below in pairwise(labels))
    assert labels[0] >= 18
    assert labels[-1] <= shape.height - 18


@given(st.lists(st.fractions(0, 300, max_denominator=10), min_size=1, max_size=8))
def test_no_other_place_two_neighbours_could_take_is_nearer_to_the_wishes(wishes: list[Fraction]) -> None:
    wishes.sort()
    placed = spread(wishes, 33, F(-1000), F(1000))
    away = sum((a - b) ** 2 for a, b in zip(placed, wishes, strict=True))
    for shift in (F(1, 3), F(-1, 3)):
        for i in range(len(placed)):
            for j in range(i, len(placed)):
                moved = [p + shift if i <= k <= j else p for k, p in enumerate(placed)]
                if all(b - a >= 33 for a, b in pairwise(moved)):
                    assert sum((a - b) ** 2 for a, b in zip(moved, wishes, strict=True)) >= away


def test_where_there_is_room_every_label_stands_beside_its_band() -> None:
    shape = place_section([F(100), F(120)], F(220), F(220))
    assert [band.label for band in shape.bands] == [band.middle for band in shape.bands]


@given(films, wants)
def test_no_two_figures_at_the_gauge_meet(thick: list[Fraction | None], wanted: Fraction | None) -> None:
    so_far = sum((film or F(0) for film in thick), F(0))
    shape = place_section(thick, so_far, wanted)
    words = sorted(figure.words for figure in (shape.so_far, shape.wanted, *shape.ticks) if figure)
    assert all(below - above >= 13 for above, below in pairwise(words))
    for figure in filter(None, (shape.so_far, shape.wanted, *shape.ticks)):
        assert figure.y == shape.surface - figure.um * shape.scale


def test_the_same_figure_is_not_said_twice_and_an_unknown_one_not_at_all() -> None:
    assert place_section([F(40)], F(40), F(40)).so_far is None
    shape = place_section([None], None, F(40))
    assert (shape.so_far, shape.wanted, shape.ticks[1:]) == (None, None, ())


def test_more_than_nine_coats_are_cut_back_less() -> None:
    cuts = [place_section([F(20)] * n, None, None).bands[1].x - 50 for n in (2, 9, 12)]
    assert cuts == [8, 8, 6]


def test_each_coat_is_drawn_in_its_own_colour_and_by_what_is_known_of_it() -> None:
    layers = [
        laid(F(40)),
        laid(F(40), assumed=True),
        Layer("1", "a gloss with a name of its own", "36 um", F(36), None, to_come=True),
    ]
    svg = etree.fromstring(draw_section(layers, F(80), F(116), "said <so>", LETTERING))
    assert svg.get("aria-label") == "said <so>"
    assert svg.get("viewBox", "").startswith("0 0 336 ")
    bands = [(r.get("class"), r.get("fill")) for r in svg.findall("rect") if r.get("x") not in ("35",)]
    assert bands == [("band", "#8a4232"), ("band guessed", "#8a4232"), ("ghost f-wash", None)]
    said = [" ".join(text.itertext()) for text in svg.findall("text")]
    assert "1 a gloss with a name of…" in said
    assert {"bare <surface>", "Blast", "80", "116", "wanted build", "µm"} <= set(said)


@pytest.mark.parametrize("name", ["x" * 24, "x" * 25, "red primer"])
def test_a_name_has_at_most_so_many_letters(name: str) -> None:
    assert len(shorten(name)) <= 24
    assert (shorten(name) == name) == (len(name) <= 24)


@given(films, wants)
def test_the_drawing_is_always_well_formed(thick: list[Fraction | None], wanted: Fraction | None) -> None:
    etree.fromstring(draw_section([laid(film) for film in thick], F(90), wanted, "x", LETTERING))


# the forecast


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(0, 2600), st.integers(0, 2600))
def test_the_days_of_the_forecast_keep_their_order_inside_the_drawing(on: date, one: int, other: int) -> None:
    near, far = sorted((one, other))
    days = (on, on + timedelta(weeks=near), on + timedelta(weeks=far))
    shape = place_forecast(*days)
    assert 0 <= shape.start <= shape.likely <= shape.safe < 1
    assert 1 <= len(shape.ticks) <= MOST_TICKS
    assert [x for x, _ in shape.ticks] == sorted({x for x, _ in shape.ticks})
    etree.fromstring(draw_forecast(*days, "x", str))


def test_the_bar_reaches_the_even_chance_and_the_box_the_other() -> None:
    svg = etree.fromstring(draw_forecast(date(2024, 1, 1), date(2024, 3, 1), date(2024, 4, 1), "said", str))
    box, bar = svg.findall("rect")
    assert (box.get("class"), box.get("x"), box.get("width")) == ("w-open", "0.00%", "75.00%")
    assert (bar.get("class"), bar.get("x"), bar.get("width")) == ("f-green", "0.00%", "50.00%")
    assert [text.text for text in svg.findall("text")] == ["2024-01-01", "2024-02-01", "2024-03-01", "2024-04-01"]
