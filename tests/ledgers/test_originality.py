"""What of the machine is what left the works."""

from __future__ import annotations

from fractions import Fraction

import pytest

from journalgen.ledgers.originality import ORIGINS, keep_originality, origin
from tests.ledgers.workshop import day, journal, part


@pytest.mark.parametrize(
    ("decision", "bought", "expected"),
    [
        ("reuse", [], "original kept"),
        ("repair", ["part"], "original repaired"),
        ("make", [], "made"),
        ("replace", ["used spare"], "used spare"),
        ("replace", ["used spare", "reproduction"], "reproduction"),
        ("replace", ["reproduction", "part"], "reproduction"),
        ("replace", ["part"], "reproduction"),
        ("replace", ["outside work"], "not known"),
        ("replace", [], "not known"),
        (None, ["used spare"], "used spare"),
        (None, ["part"], "not known"),
        (None, [], "not known"),
        ("reuse", ["used spare"], "original kept"),
    ],
)
def test_the_origin_follows_from_decision_and_purchases(decision: str | None, bought: list[str], expected: str) -> None:
    assert origin(decision, bought) == expected


def test_shares_go_by_count_of_pieces_and_add_up() -> None:
    parts = [
        part("wheel", assembly="gear", quantity=4, decision="repair"), part("axle", assembly="gear"),
        part("seat"), part("gear", assembly="machine"), part("lens", assembly="lamp", decision="replace"),
    ]  # fmt: skip
    sessions = [
        day("2024-01-01", "decisions:\n  - {part: axle, do: replace}\n  - {part: wheel, do: replace}"),
        day("2024-02-01", "decisions:\n  - {part: axle, do: reuse}"),
        day("2024-03-01", "bought:\n  - {part: [lens, loose bolt], kind: used spare, price: 5}"),
    ]
    rows = journal(parts).parts
    found = keep_originality(sessions, rows)
    # The register stands over the sessions, of which the latest counts. Headings and unregistered parts are no pieces.
    assert found.origins == {
        "wheel": "original repaired", "axle": "original kept", "seat": "not known", "lens": "used spare"
    }  # fmt: skip
    assert found.machine.pieces == 7
    assert found.machine.share("original repaired") == Fraction(4, 7)
    assert sum(found.machine.share(name) for name in ORIGINS) == 1
    assert found.assemblies["gear"].counts["original repaired"] == 4
    assert sum(shares.pieces for shares in found.assemblies.values()) == found.machine.pieces


def test_without_a_register_there_is_nothing_to_share() -> None:
    assert keep_originality([], {}).machine.share("made") == 0
