"""Spreading rate, films and volumes, and the coats on a part."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.coating import film_built, practical_volume, spreading_rate, theoretical_volume, wet_film
from tests.ledgers.workshop import craft, journal, part, square_metres, work

per_cent = st.fractions(1, 99)
positive = st.fractions(Fraction(1, 10), 500)


@given(solids=per_cent, film=positive, area=positive, coats=st.integers(1, 5), loss=st.fractions(0, 99))
def test_the_practical_volume_leaves_just_the_film_that_was_asked(
    solids: Fraction, film: Fraction, area: Fraction, coats: int, loss: Fraction
) -> None:
    volume = practical_volume(theoretical_volume(area, coats, spreading_rate(solids, film)), loss)
    assert film_built(volume, loss, solids, area) == film * coats


@given(solids=per_cent, film=positive, thinner=st.fractions(0, 100))
def test_the_wet_film_dries_to_the_film_that_was_asked(solids: Fraction, film: Fraction, thinner: Fraction) -> None:
    wet = wet_film(film, solids, thinner)
    assert wet >= film
    assert wet * solids / (100 + thinner) == film


def test_figures_that_cannot_be_are_refused() -> None:
    for call in (
        lambda: spreading_rate(0, 40),
        lambda: spreading_rate(50, 0),
        lambda: wet_film(40, 0),
        lambda: practical_volume(1, 100),
        lambda: film_built(1, 0, 50, 0),
    ):
        with pytest.raises(ValueError, match=r"must be"):
            call()


AXLE = part("axle", "painted", area=square_metres("0.5"), quantity=2)
HUB = part("hub", "painted", area=square_metres("1"))


def test_film_built_comes_from_the_amount_less_loss_over_all_pieces_of_the_line() -> None:
    prime = work("2024-01-09", "part: [axle, hub], step: prime, material: red primer, amount: 250 mL")
    coats = craft(journal([AXLE, HUB], prime), "2024-02-01").coats
    # 250 mL x 80 % x 50 % = 100 mL of solids on 2 m2: 50 um
    assert [(c.number, c.built, c.asked, c.day and c.day.isoformat()) for c in coats["axle"][:1]] == [
        (1, 50, 40, "2024-01-09")
    ]
    assert coats["hub"][0].built == 50


def test_film_is_not_known_without_an_area_or_an_amount() -> None:
    lines = (
        "part: axle, step: prime, material: red primer",
        "part: bolt, step: prime, material: red primer, amount: 1 L",
    )
    coats = craft(journal([AXLE], work("2024-01-09", *lines)), "2024-02-01").coats
    assert [coats["axle"][0].built, coats["bolt"][0].built] == [None, None]


def test_coats_lie_in_order_and_those_to_come_follow_the_route() -> None:
    first = work(
        "2024-01-09",
        "part: axle, step: prime, coat: 1, material: red primer",
        "part: hub, step: enamel, material: gloss",
    )
    second = work("2024-01-12", "part: axle, step: prime, material: red primer")
    coats = craft(journal([AXLE, HUB], first, second), "2024-02-01").coats
    assert [(c.step, c.number, c.material, c.session is None) for c in coats["axle"]] == [
        ("prime", 1, "red primer", False), ("prime", 2, "red primer", False), ("enamel", 1, "gloss", True),
    ]  # fmt: skip


def test_stripping_takes_all_coats_away_and_acid_leaves_none() -> None:
    sessions = (
        work("2024-01-09", "part: axle, step: enamel, material: gloss"),
        work("2024-02-09", "part: axle, step: strip", "part: axle, step: etch, coat: 1, material: acid"),
    )
    laid = [c for c in craft(journal([AXLE], *sessions), "2024-03-01").coats.get("axle", ()) if c.session]
    assert laid == []
