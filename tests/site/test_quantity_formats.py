"""Quantities in the journal's own system with the other beside them, by factors of NIST SP 811 (2008), appendix B."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from gettext import NullTranslations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup
from msgspec.structs import replace

from journalgen.knowledge import unit_factors, unit_systems
from journalgen.ledgers.sharing import round_money
from journalgen.reading.amounts import parse_measured
from journalgen.records import Settings
from journalgen.site.drawings.svg import text
from journalgen.site.formats import Formats
from journalgen.site.matter import OWNER, PUBLIC
from journalgen.site.quantity_formats import Shown, convert
from journalgen.values import Amount, Limits
from tests.site.samples import SETTINGS, edition, every, journal, of_class, texts, trees, words


def formats(units: str = "metric", locale: str = "en_GB") -> Formats:
    return Formats(Settings("Trolley", units=units, locale=locale), NullTranslations())


def amount(text: str) -> Amount:
    return parse_measured(text)


def both(shown: str) -> tuple[str, str | None]:
    return str(shown), shown.other if isinstance(shown, Shown) else None


@pytest.mark.parametrize(
    ("written", "other"),
    [
        ("25.4 mm", "1.000 in"),  # 1 in = 25.4 mm exactly
        ("34.981 mm", "1.37720 in"),
        ("1 m", "3.28 ft"),  # 1 ft = 0.3048 m exactly
        ("254 um", "10.00 thou"),
        ("120 mL", "4.22 imp fl oz"),  # 1 imp fl oz = 28.41306 mL
        ("5 L", "8.80 imp pint"),  # 1 imp gallon = 4.54609 L
        ("1 kg", "2.20 lb"),  # 1 lb = 453.59237 g exactly
        ("18 degC", "64.4 °F"),
        ("100 kPa", "14.5 psi"),  # 1 psi = 6894.757 Pa
        ("40 N m", "29.5 lbf ft"),  # 1 lbf ft = 1.355818 N m
        ("0.42 m2", "4.52 ft²"),
    ],
)
def test_a_metric_journal_shows_what_was_written_with_the_other_beside_it(written: str, other: str) -> None:
    shown = formats().amount(amount(written))
    assert both(shown)[1] == other
    assert str(shown).split()[0] == written.split()[0]
    turned = formats("imperial").amount(amount(written))
    assert both(turned) == (other, str(shown))


@pytest.mark.parametrize(
    ("written", "shown"),
    [("1 US fl oz", "29.6 mL"), ("1 imp fl oz", "28.4 mL"), ("0.005 in", "0.127 mm"), ("3 thou", "76.2 µm")],
)
def test_what_was_written_in_the_other_system_is_turned_into_the_journals(written: str, shown: str) -> None:
    assert both(formats().amount(amount(written))) == (shown, written)
    assert both(formats("imperial").amount(amount(written))) == (written, shown)


def test_american_readers_get_their_own_fluid_ounce() -> None:
    assert both(formats("imperial", "en_US").amount(amount("120 mL")))[0] == "4.06 US fl oz"
    assert both(formats("imperial", "en_GB").amount(amount("120 mL")))[0] == "4.22 imp fl oz"


@pytest.mark.parametrize("written", ["2 sheets", "55 %", "48 h", "1.32 kg/L"])
def test_what_has_no_pair_is_shown_as_written(written: str) -> None:
    assert both(formats("imperial").amount(amount(written))) == (written, None)


def test_a_span_of_degrees_is_no_point_on_a_scale() -> None:
    assert both(formats("imperial").difference(amount("3 degC"))) == ("5.40 °F", "3 °C")
    assert both(formats("imperial").amount(amount("3 degC"))) == ("37.4 °F", "3 °C")


def test_limits_and_doubt_stand_in_one_phrase_with_the_unit_once() -> None:
    limits = Limits(amount("34.975 mm"), amount("35.000 mm"), "34.975 .. 35.000 mm")
    assert both(formats().limits(limits)) == ("34.975 to 35.000 mm", "1.37697 to 1.37795 in")
    assert both(formats("imperial").limits(limits)) == ("1.37697 to 1.37795 in", "34.975 to 35.000 mm")
    assert both(formats().limits(Limits(amount("1.0 mm"), None, ""))) == ("at least 1.0 mm", "at least 0.0394 in")


pairs = st.sampled_from([(word, known.other) for word, known in sorted(unit_systems().items())])


@given(pairs, st.integers(-99_999, 99_999), st.integers(0, 4))
def test_turning_it_back_gives_what_was_written(pair: tuple[str, str], digits: int, places: int) -> None:
    unit, other = pair
    written = Fraction(digits, 10**places)
    there, worth = convert(written, unit, other, places)
    said = Fraction(round_money(there, worth))
    back, _ = convert(said, other, unit, worth)
    assert round_money(back, places) == Decimal(digits).scaleb(-places)


def test_every_pair_is_of_one_kind_and_crosses_over() -> None:
    factors, systems = unit_factors(), unit_systems()
    for word, known in systems.items():
        for other in filter(None, (known.other, known.other_us)):
            assert factors[word][0] == factors[other][0], (word, other)
            assert systems[other].system != known.system, (word, other)


def test_in_the_text_of_a_page_the_other_stands_beside_it_and_in_a_sentence_it_does_not() -> None:
    shown = formats().amount(amount("120 mL"))
    assert (
        Markup("{}").format(shown) == '<span class="q" title="4.22 imp fl oz" data-other="4.22 imp fl oz">120 mL</span>'
    )
    assert f"{shown}" == "120 mL"
    assert ", ".join([shown]) == "120 mL"


def test_pages_of_an_imperial_journal_speak_its_system_and_its_data_stay_as_written() -> None:
    imperial = replace(SETTINGS, units="imperial")
    page = trees(edition(journal(settings=imperial), OWNER))["sessions/2024-03-09-first-coat.html"]
    shown = {words(q): q.get("data-other") for q in every(page, of_class("q"))}
    assert shown["4.22 imp fl oz"] == "120 mL"
    assert shown["1.37697 to 1.37795 in"] == "34.975 to 35.000 mm"


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_no_markup_gets_into_an_attribute(units: str) -> None:
    for name, page in texts(edition(journal(settings=replace(SETTINGS, units=units)), PUBLIC)).items():
        assert '="<span' not in page, name
        assert "&lt;span" not in page, name


def test_a_drawing_holds_no_markup_of_a_quantity() -> None:
    assert text(formats().amount(amount("120 mL"))) == "120 mL"
    for name, tree in trees(edition(journal(), OWNER)).items():
        assert not every(tree, "svg//span"), name
