"""Assemblies that are only headings, and rings of needs or assemblies, spelt out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.ledgers.nesting import Nesting, check_cycles, find_rings, headings
from journalgen.problems import Problems
from journalgen.records import Part
from journalgen.values import Place
from tests.ledgers.workshop import part


def cycles(*parts: Part) -> list[tuple[Place, str]]:
    problems = Problems()
    check_cycles({p.name: p for p in parts}, problems)
    assert all(p.is_error and p.rule == "cycle" for p in problems.found)
    return [(p.place, p.message) for p in problems.found]


def test_parts_that_need_each_other_are_an_error_told_once_with_the_ring_spelt_out() -> None:
    second = Place("register/parts.yaml", 9)
    found = cycles(
        part("hub", needs=("axle",)),
        part("axle", needs=("box",), place=second),
        part("box", needs=("axle", "hub")),
        part("cap"),
    )
    assert [message.partition(": ")[2] for _, message in found] == [
        "axle -> box -> axle.",
        "hub -> axle -> box -> hub.",
    ]
    assert found[0][0] == second


def test_a_part_that_needs_itself_is_a_ring() -> None:
    assert "axle -> axle" in cycles(part("axle", needs=("axle",)))[0][1]


def test_assemblies_within_each_other_are_an_error_and_one_of_its_own_name_is_none() -> None:
    found = cycles(part("frame", assembly="body"), part("body", assembly="frame"), part("lamp", assembly="lamp"))
    assert [message for _, message in found] == ["These assemblies lie within each other: frame -> body -> frame."]


def test_a_need_of_ones_own_assembly_can_never_be_met_but_one_of_its_namesake_can() -> None:
    assert "bolt -> gear -> bolt" in cycles(part("bolt", assembly="gear", needs=("gear",)))[0][1]
    assert cycles(part("frame", "painted", assembly="frame"), part("corner", assembly="frame", needs=("frame",))) == []


def test_a_heading_stands_for_all_that_belongs_to_it_at_any_depth() -> None:
    parts = [
        part("gear"),
        part("brake", assembly="gear"),
        part("shoe", assembly="brake"),
        part("axle", assembly="gear"),
    ]
    rows = {p.name: p for p in parts}
    assert headings(rows) == {"gear", "brake"}
    assert set(Nesting(rows).pieces("gear")) == {"axle", "shoe"}
    assert Nesting(rows).pieces("axle") == ("axle",)
    assert Nesting(rows).pieces("nowhere") == ("nowhere",)


def test_a_row_with_work_of_its_own_is_a_part_though_others_belong_to_it() -> None:
    rows = {p.name: p for p in (part("lamp", "painted"), part("lens", assembly="lamp"))}
    assert Nesting(rows).pieces("lamp") == ("lamp",)


def test_a_chain_of_thousands_is_walked() -> None:
    chain = {str(i): (str(i + 1),) for i in range(5000)}
    assert list(find_rings(chain)) == []
    assert len(next(find_rings(chain | {"4999": ("0",)}))) == 5000


@given(st.dictionaries(st.sampled_from("abcdef"), st.lists(st.sampled_from("abcdef"), max_size=3)))
def test_every_ring_told_is_one_and_none_is_told_where_there_is_an_order(graph: dict[str, list[str]]) -> None:
    rings = list(find_rings(graph))
    for ring in rings:
        assert all(after in graph[name] for name, after in zip(ring, (*ring[1:], ring[0]), strict=True))
    left = {name: set(after) & graph.keys() for name, after in graph.items()}
    while free := [name for name, after in left.items() if not after & left.keys()]:
        left = {name: after for name, after in left.items() if name not in free}
    assert bool(rings) == bool(left)


@pytest.mark.parametrize("order", [("a", "b"), ("b", "a")])
def test_a_ring_begins_with_its_first_name_in_the_register(order: tuple[str, str]) -> None:
    other = {"a": "b", "b": "a"}
    assert list(find_rings({name: [other[name]] for name in order})) == [order]
