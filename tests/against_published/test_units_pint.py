"""The table of common units against the library that knows all of them (pint), and that it serves without it."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from journalgen.house import example_folder
from journalgen.knowledge import unit_factors
from journalgen.reading.units import UnitMeaning, ask_pint, measuring_unit


@pytest.mark.parametrize("word", sorted(unit_factors()))
def test_the_table_says_what_the_library_says(word: str) -> None:
    assert UnitMeaning(*unit_factors()[word]) == ask_pint(word)


def test_a_unit_beyond_the_table_is_asked_for() -> None:
    assert "mJ" not in unit_factors()
    found = measuring_unit("mJ")
    assert found is not None
    assert found.dimension == unit_factors()["N m"][0]  # work, however it is written


def test_totals_of_the_example_do_not_load_the_library() -> None:
    """It takes longer to load than everything else that `totals` does."""
    script = (
        "import sys; from journalgen.command import main\n"
        "try: main(['totals', sys.argv[1], '--json', '--on', '2025-09-30'])\n"
        "except SystemExit: pass\n"
        "print('pint' in sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(example_folder())], capture_output=True, text=True, check=False
    )
    assert done.stderr.splitlines()[-1] == "False", done.stderr
    assert json.loads(done.stdout)["format"] == "journalgen-totals/1"


@pytest.mark.parametrize(
    ("one", "other"),
    [("N m", "lbf ft"), ("N m", "ft lbf"), ("Nm", "ft lb"), ("lb in", "N m"), ("kg/L", "g/cm3"), ("psi", "bar")],
)
def test_units_of_one_kind_meet_however_they_are_written(one: str, other: str) -> None:
    first, second = ask_pint(one), ask_pint(other)
    assert first is not None
    assert second is not None
    assert first.dimension == second.dimension
