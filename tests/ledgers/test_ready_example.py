"""`ready` on the example journal, checked by hand against its entries on three dates.

The dates: the frame in primer with more to come; a journal in the middle of painting; the last parts.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from journalgen.ledgers.figures import compute
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.ready import find_ready, ready_json
from journalgen.records import Journal
from tests.journals import FixedRates

EXAMPLE = Path(__file__).parents[2] / "content_example"


@pytest.fixture(scope="module")
def example() -> Journal:
    return read_journal(EXAMPLE).journal


def ready(journal: Journal, on: str) -> dict[str, Any]:
    return ready_json(find_ready(journal, compute(journal, FixedRates(), date.fromisoformat(on), Problems())))


def steps(found: dict[str, Any], part: str) -> list[str]:
    return [row["step"] for row in found["can_start"] if row["part"] == part]


def test_december_2023_with_everything_in_primer(example: Journal) -> None:
    found = ready(example, "2023-12-10")
    assert found["waiting"] == []  # the last high build was laid eight days before
    # The lever has one coat of red oxide: a second may follow within 60 d of 2 December, else high build.
    lever = [row for row in found["can_start"] if row["part"] == "brake lever"]
    assert [(row["step"], row["window_closes"]) for row in lever] == [
        ("red oxide", "2024-02-01T00:00:00+00:00"), ("high build", "2024-02-01T00:00:00+00:00"),
    ]  # fmt: skip
    assert steps(found, "wheel") == ["high build", "flat"]
    assert steps(found, "fuel tank") == ["blast"]  # cleaned inside before it was stripped, so the blasting does both
    # Parts given up and not bought yet have only that to wait for.
    assert {row["part"]: row["because"] for row in found["blocked"]} == dict.fromkeys(
        ("drive chain", "jackshaft bearing", "magneto", "lamp lens"), "not bought"
    )
    # Undercoat was never bought: frame 3.2, corner 0.38, beams 0.68, guards 0.48, wheels 1.68, boxes 0.64 m2 ...
    (buy,) = found["to_buy"]
    area = 3.2 + 0.38 + 0.68 + 0.48 + 1.68 + 0.64
    assert (buy["material"], buy["left"], buy["unit"]) == ("brown undercoat", "0", "L")
    assert float(buy["needed"]) == pytest.approx(area / (10 * 50 / 40) / 0.8, abs=1e-6)


def test_may_2024_with_the_second_maroon_curing(example: Journal) -> None:
    found = ready(example, "2024-05-01")
    # 20 April, 8:15 and 8 h: until 16:15. The wheel was given 14 d; the others' enamel cures as long.
    waiting = {row["part"]: row["ready_at"] for row in found["waiting"]}
    assert waiting == dict.fromkeys(
        ("frame", "frame corner", "buffer beam", "axle guard", "wheel", "axle box"), "2024-05-04T16:15:00+01:00"
    )
    assert steps(found, "axle box") == ["enamel"]  # its second coat
    assert steps(found, "brake lever") == ["undercoat", "enamel"]
    assert steps(found, "frame") == []


def test_may_2025_with_the_guard_and_the_tank_drying(example: Journal) -> None:
    found = ready(example, "2025-05-11")
    assert {row["part"]: row["ready_at"] for row in found["waiting"]} == dict.fromkeys(
        ("chain guard", "fuel tank"), "2025-05-25T00:00:00+01:00"
    )
    assert {row["part"]: row["needs"] for row in found["blocked"]} == {
        "fuel tap": ["fuel tank"],
        "seat bracket": ["deck boards"],
    }
    assert steps(found, "headlamp") == ["fit"]
    assert steps(found, "silencer") == ["fit"]
    assert steps(found, "wheel") == []  # fitted


def test_at_the_end_nothing_is_left(example: Journal) -> None:
    found = ready(example, "2025-09-30")
    assert all(not found[key] for key in ("can_start", "waiting", "blocked", "closing", "to_buy"))
