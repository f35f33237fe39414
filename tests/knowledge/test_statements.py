"""Hazard and precautionary statements as they are looked up."""

from __future__ import annotations

import re

from journalgen.knowledge.trade import HAZARD, PRECAUTION, statements, statements_of
from journalgen.reading.fields import as_names


def test_a_code_gives_its_text_and_signal_word() -> None:
    (found,) = statements_of("H226")
    assert found == statements()["H226"]
    assert (found.kind, found.text, found.signal) == (HAZARD, "Flammable liquid and vapour.", "warning")


def test_a_combination_has_its_own_text() -> None:
    (found,) = statements_of("H300 + H310")
    assert found.text == "Fatal if swallowed or in contact with skin."


def test_a_combination_without_a_text_of_its_own_gives_that_of_each_part() -> None:
    assert [found.code for found in statements_of("H226+H336")] == ["H226", "H336"]


def test_a_bracketed_part_is_found() -> None:
    (found,) = statements_of("P370 + P380 + P375 [+ P378]")
    assert found.kind == PRECAUTION
    assert found.text.endswith("[Use … to extinguish].")


def test_case_tells_known_from_suspected_harm() -> None:
    assert statements_of("H360FD") != statements_of("H360Fd")
    assert len(statements_of("H360FD")) == len(statements_of("H360Fd")) == 1


def test_an_unknown_code_gives_nothing() -> None:
    assert statements_of("H999") == ()
    assert statements_of("") == ()


def test_an_old_tin_and_a_sheet_from_elsewhere_are_understood_and_told_apart() -> None:
    assert statements()["P281"].standing == "withdrawn"
    assert statements()["H227"].standing == "un"
    assert statements()["H225"].standing == "clp"


def test_every_code_can_be_written_in_a_register() -> None:
    for code in statements():
        assert as_names([code]) == (code,)
        assert re.fullmatch(r"(EUH|H|P)\d{3}[A-Za-z]{0,2}(\+[HP]\d{3})*", code), code


def test_every_text_is_a_sentence_or_leaves_its_end_open() -> None:
    assert [found.code for found in statements().values() if not found.text.endswith((".", ":", "…"))] == []
    assert [found.code for found in statements().values() if found.text != " ".join(found.text.split())] == []


def test_only_hazards_have_a_signal_word() -> None:
    assert {found.signal for found in statements().values() if found.kind == PRECAUTION} == {None}
    assert {found.signal for found in statements().values() if found.kind == HAZARD} == {None, "danger", "warning"}
    assert all((found.kind == PRECAUTION) == found.code.startswith("P") for found in statements().values())
