"""The small ledgers that sort what the pages show."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from journalgen.ledgers.assemblies import list_assemblies
from journalgen.ledgers.decisions import keep_decisions
from journalgen.ledgers.highlights import best_pairs, opening_shot
from journalgen.ledgers.milestones import find_completions, find_fittings
from journalgen.ledgers.pairs import Pair, Shot
from journalgen.ledgers.part_records import names_in, needed_by, part_records, worked_on
from journalgen.ledgers.session_records import SessionRecord, session_records
from journalgen.ledgers.spending import cost_of_materials_bought, cost_of_materials_used, money_by_assembly
from journalgen.ledgers.years import hours_by_assembly_and_month
from journalgen.records import NO_ASSEMBLY, Part, Photo, Purchase, Session, Use, WorkLine
from tests.site.samples import FIRST, HAGGLING, SECOND, at, edition, journal, session, volume

FIGURES = edition().figures
PARTS = journal().parts


def register(**assemblies: str | None) -> dict[str, Part]:
    return {name: Part(name, at(1), assembly=assembly) for name, assembly in assemblies.items()}


def alone(session: Session) -> SessionRecord:
    """The record of a session that no hours or purchases belong to."""
    hours, money = FIGURES.hours.only(lambda share: False), FIGURES.money.only(lambda cost: False)
    return session_records([session], hours, money)[session.page]


def test_part_records_add_up_to_the_ledgers() -> None:
    records = part_records(FIGURES.sessions, FIGURES.hours, FIGURES.money, FIGURES.stock)
    assert {part: r.hours.minutes for part, r in records.items() if r.shares} == FIGURES.hours.by_part()
    assert {part: r.spent for part, r in records.items() if r.costs} == FIGURES.money.by_part()
    assert sum(r.consumed for r in records.values()) == sum(FIGURES.stock.consumed_by_part().values())


def test_a_part_is_in_every_session_that_names_it_anywhere() -> None:
    records = part_records(FIGURES.sessions, FIGURES.hours, FIGURES.money, FIGURES.stock)
    assert records["lamp glass"].sessions == [FIRST, HAGGLING]
    assert names_in(FIRST) == ("front wheel", "axle", "lamp glass")
    assert worked_on(SECOND) == ("front wheel", "axle")


def test_the_register_decides_before_a_session_does() -> None:
    assert keep_decisions(FIGURES.sessions, PARTS)["axle"] == "replace"
    assert keep_decisions(FIGURES.sessions, {"axle": replace(PARTS["axle"], decision="reuse")})["axle"] == "reuse"
    assert "axle" not in keep_decisions((), PARTS)


def test_needs_are_known_from_the_other_side() -> None:
    assert needed_by(PARTS) == {"axle": ["front wheel"]}


def test_session_records_add_up_to_the_ledgers() -> None:
    records = session_records(FIGURES.sessions, FIGURES.hours, FIGURES.money)
    assert list(records) == [FIRST.page, SECOND.page, HAGGLING.page]
    assert sum(record.minutes for record in records.values()) == FIGURES.hours.minutes
    assert all(share.session.page == page for page, record in records.items() for share in record.shares)
    assert sum(record.spent or 0 for record in records.values()) == FIGURES.money.total


def test_what_a_session_used_is_added_up_unit_by_unit() -> None:
    used = session(
        "2024-03-01", "Uses",
        work=(WorkLine(at(2), material="zinc primer", amount=volume("100")),
              WorkLine(at(3), material="zinc primer", amount=volume("0.5", "L"))),
        uses=(Use(at(4), "zinc primer", volume("20")), Use(at(5), "rag")),
    )  # fmt: skip
    assert alone(used).used == {"zinc primer": [volume("120"), volume("0.5", "L")], "rag": []}


def test_nothing_spent_is_told_from_nothing_bought() -> None:
    records = session_records(FIGURES.sessions, FIGURES.hours, FIGURES.money)
    assert records[SECOND.page].spent == Decimal("26.90")
    looked = session("2024-03-01", "Looked")
    assert alone(looked).spent is None


def test_a_purchase_of_unknown_price_is_not_a_sum_of_nought() -> None:
    given = session("2024-03-01", "Given", purchases=(Purchase(at(2), "tool", what="borrowed file"),))
    figures = edition(journal(given)).figures
    assert session_records([given], figures.hours, figures.money)[given.page].spent is None


def test_assemblies_stand_below_the_one_above_them_and_loose_parts_last() -> None:
    found = list_assemblies(register(bolt=None, hub="wheel", wheel="running gear", box="running gear", lamp="lamps"))
    assert [(a.name, a.depth, a.above, a.parts) for a in found] == [
        ("running gear", 0, None, ("wheel", "box")),
        ("wheel", 1, "running gear", ("hub",)),
        ("lamps", 0, None, ("lamp",)),
        (NO_ASSEMBLY, 0, None, ("bolt",)),
    ]


def test_an_assembly_named_by_its_own_row_is_topmost() -> None:
    assert [(a.name, a.depth, a.parts) for a in list_assemblies(register(frame="frame", corner="frame"))] == [
        ("frame", 0, ("frame", "corner"))
    ]


names = st.sampled_from("abcdef")


@given(st.dictionaries(names, st.none() | names))
def test_every_part_is_in_exactly_one_assembly_even_if_rows_run_in_a_ring(rows: dict[str, str | None]) -> None:
    found = list_assemblies(register(**rows))
    assert sorted(part for assembly in found for part in assembly.parts) == sorted(rows)
    listed = [assembly.name for assembly in found]
    assert len(set(listed)) == len(listed)
    for assembly in found:
        assert assembly.above is None or listed.index(assembly.above) < listed.index(assembly.name)


def test_money_by_assembly_adds_up_and_keeps_the_general_apart() -> None:
    found = money_by_assembly(FIGURES.money, PARTS)
    assert sum(found.values()) == FIGURES.money.total
    assert found == {
        "(general)": Decimal("142.90"),
        "lamps": Decimal("20.82"),
        "running gear": Decimal("0.00"),
        "(none)": Decimal("-5.00"),
    }


def test_materials_bought_and_used_are_the_sums_of_the_stock() -> None:
    assert cost_of_materials_bought(FIGURES.stock) == Decimal("43.90")
    assert cost_of_materials_used(FIGURES.stock) == sum(FIGURES.stock.consumed_by_part().values())


def test_hours_by_assembly_and_month_add_up() -> None:
    assert hours_by_assembly_and_month(FIGURES.hours, PARTS) == {
        "running gear": {"2024-03": 150, "2024-04": 60}, "lamps": {"2024-05": 30},
    }  # fmt: skip


def test_a_fitting_is_the_last_one_of_a_part_that_is_fitted_now() -> None:
    found = find_fittings(FIGURES.events, FIGURES.states, {})
    assert [(fitting.part, fitting.day) for fitting in found] == [
        ("axle", date(2024, 4, 20)), ("front wheel", date(2024, 4, 20)),
    ]  # fmt: skip
    assert find_fittings(FIGURES.events, {**FIGURES.states, "axle": "in work"}, {})[0].part == "front wheel"


def test_an_assembly_is_complete_only_with_all_its_parts() -> None:
    fittings = find_fittings(FIGURES.events, FIGURES.states, {})
    assemblies = list_assemblies(PARTS)
    completed = [(completion.assembly, completion.day) for completion in find_completions(assemblies, fittings)]
    assert completed == [("running gear", date(2024, 4, 20))]
    assert not find_completions(assemblies, fittings[:1])


def test_the_opening_photograph_is_the_last_after_of_no_part_else_the_newest_that_there_is() -> None:
    opening = opening_shot(FIGURES.sessions, lambda file: True)
    assert opening is not None
    assert opening.photo.file == "whole.jpg"
    newest = opening_shot(FIGURES.sessions, lambda file: file != "whole.jpg")
    assert newest is not None
    assert newest.photo.file == "wheel-2.jpg"
    assert opening_shot(FIGURES.sessions, lambda file: False) is None
    assert opening_shot((), lambda file: True) is None


def test_the_best_pairs_are_finished_and_of_most_hours() -> None:
    def pair(part: str, finished: bool = True) -> Pair:
        return Pair(part, Shot(FIRST, Photo(at(1), f"{part}-1")), Shot(SECOND, Photo(at(2), f"{part}-2")), finished)

    pairs = [pair("a"), pair("b"), pair("c", finished=False), pair("d")]
    minutes = {"a": 10, "b": 90, "c": 500, "d": 20}
    assert [p.part for p in best_pairs(pairs, minutes, lambda file: True, 3)] == ["b", "d", "a"]
    assert [p.part for p in best_pairs(pairs, minutes, lambda file: file != "b-2", 1)] == ["d"]
