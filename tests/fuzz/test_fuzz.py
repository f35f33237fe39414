"""A short run of what `python -m tests.fuzz` does at length."""

from __future__ import annotations

import random
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings

from journalgen.house import example_folder
from tests.fuzz import hostile, mutated, pictures, structured, trial
from tests.journals import SETTINGS

INPUTS = 150
SHARES = 2  # so that several processes can try them


def attempt(files: dict[str, bytes], *, pages: bool = False) -> trial.Outcome:
    with tempfile.TemporaryDirectory() as room:
        trial.write(Path(room), files)
        return trial.try_journal(Path(room), pages=pages)


@settings(max_examples=INPUTS)
@given(structured.journals())
def test_a_journal_of_known_keys_and_any_values_is_records_or_problems_with_a_place(files: dict[str, bytes]) -> None:
    attempt(files)


@pytest.mark.parametrize("share", range(SHARES))
def test_entries_with_bytes_spoilt_are_records_or_problems_with_a_place(share: int) -> None:
    entries = sorted((example_folder() / "entries").rglob("*.md"))
    everything = [path.read_bytes() for path in entries]
    came = 0
    for n in range(INPUTS):
        chance = random.Random(n * SHARES + share)
        data = mutated.spoil(chance, chance.choice(everything), everything, chance.choice((1, 2, 5, 20)))
        outcome = attempt({"journal.toml": SETTINGS.encode(), "entries/2024-03-09-a.md": data})
        came += outcome.sessions > 0
    assert came > INPUTS / 4  # or it is nothing but rubbish that is tried


@pytest.mark.parametrize("what", hostile.WHOLE)
def test_what_is_known_to_bite_does_not_as_an_entry(what: str) -> None:
    attempt({"journal.toml": SETTINGS.encode(), "entries/2024-03-09-a.md": hostile.WHOLE[what]}, pages=True)


@pytest.mark.parametrize("what", hostile.WHOLE)
def test_nor_as_a_register_or_the_settings(what: str) -> None:
    data = hostile.WHOLE[what]
    front = data.split(b"---\n")[1] if data.count(b"---\n") > 1 else data
    attempt({"journal.toml": SETTINGS.encode(), "register/parts.yaml": front, "register/steps.yaml": front})
    attempt({"journal.toml": data})


def test_nor_as_the_name_of_an_entry() -> None:
    names = {f"entries/{name}": b"---\nhours: 1\nparts: wheel\n---\n" for name in hostile.NAMES}
    outcome = attempt({"journal.toml": SETTINGS.encode(), **names}, pages=True)
    assert outcome.sessions > 5


def test_photographs_with_bytes_spoilt_are_pictures_or_refused(tmp_path: Path) -> None:
    samples = pictures.samples()
    made = 0
    for n in range(INPUTS):
        chance = random.Random(n)
        folder = tmp_path / "one"
        folder.mkdir()
        made += pictures.try_picture(folder, pictures.spoil_picture(chance, chance.choice(samples)))
        shutil.rmtree(folder)
    assert 0 < made < INPUTS
