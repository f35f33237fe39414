"""The safety notes: each complete, short, sourced, and deferring to those who know better."""

from __future__ import annotations

from importlib.resources import files
from typing import get_args

import pytest

from journalgen.knowledge.trade import Caution, cautions, safety_notices
from journalgen.problems import Problems
from journalgen.reading import fields
from journalgen.reading.trees import parse_tree
from journalgen.reading.unreadable import Unreadable

ALL = [*cautions().values(), *safety_notices().values()]


def test_the_file_has_no_key_twice() -> None:
    problems = Problems()
    text = files("journalgen.knowledge").joinpath("cautions.yaml").read_text(encoding="utf-8")
    assert parse_tree(text, "cautions.yaml", 1, problems) is not None
    assert problems.found == []


def test_every_hazard_of_the_trade_is_covered() -> None:
    assert {
        "blasting", "acid", "solvents", "isocyanates", "soldering and brazing", "welding", "old paint", "asbestos",
        "grinding", "heat near fuel", "fuel", "lifting", "brakes", "steering", "pressure", "batteries", "springs",
        "electrical", "magnesium", "beryllium", "dust", "rotating machinery", "hot work", "plating", "oily rags",
    } <= cautions().keys()  # fmt: skip


@pytest.mark.parametrize("caution", ALL, ids=lambda caution: caution.key)
def test_each_is_whole(caution: Caution) -> None:
    assert caution.title
    assert caution.source
    assert caution.text
    for sentence in caution.text:
        assert sentence.endswith("."), sentence
        assert sentence[0].isupper(), sentence
        assert len(sentence) <= 140, sentence


@pytest.mark.parametrize("caution", ALL, ids=lambda caution: caution.key)
def test_each_defers_to_the_data_sheet_the_codes_and_licensed_practice(caution: Caution) -> None:
    assert "safety data sheet" in caution.defer
    assert "licensed practice" in caution.defer
    assert "codes" in caution.defer


def test_each_source_is_a_publication_or_common_practice() -> None:
    known = ("HSE, ", "OSHA, ", "NIOSH ", "US Army ", "Control of Lead", "Lifting Operations", "common practice")
    assert [caution.key for caution in ALL if not caution.source.startswith(known)] == []


def test_every_safety_class_that_a_part_may_have_has_a_notice() -> None:
    (_, validator) = get_args(fields.Safety)
    for name in safety_notices():
        assert validator.parse(name, "") == name
    with pytest.raises(Unreadable) as refused:
        validator.parse("none of them", "")
    assert refused.value.remedy.endswith(f"Write one of: {', '.join(safety_notices())}.")


@pytest.mark.parametrize("name", ["brakes", "steering", "fuel", "lifting"])
def test_what_lives_depend_on_wants_checking_by_a_competent_person(name: str) -> None:
    assert any("checking" in line and "competent person before use" in line for line in safety_notices()[name].text)


def test_they_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        cautions()["blasting"] = cautions()["acid"]  # type: ignore[index]
