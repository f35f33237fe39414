"""`ready` tells what can hurt in the work it offers; its JSON keeps its shape."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from journalgen.command import main
from journalgen.house import trade_lore
from tests.journals import write_journal

FILES = {
    "register/parts.yaml": """
        brake rod: {route: painted steel, safety: brakes}
        a part with such a very long name that no table or line could ever hold all of it: {route: painted steel,
          safety: brakes}
        """,
    "entries/2024-03-09-off.md": "---\nwork:\n  - {part: brake rod, step: take off, hours: 1}\n---\n",
}


def ready(folder: Path, *options: str) -> str:
    return (
        CliRunner().invoke(main, ["ready", str(folder), "--on", "2024-04-01", *options], catch_exceptions=False).stdout
    )


def test_each_caution_has_a_line_with_its_step_or_part_and_the_deferring_sentence_comes_once(tmp_path: Path) -> None:
    said = ready(write_journal(tmp_path, FILES))
    lines = said.splitlines()
    assert any(line.startswith("Caution. Brakes: brake rod") for line in lines)
    assert "Caution. Solvents: Degrease" in lines
    assert " ".join(said.split()).count(trade_lore().defer) == 1
    assert all(len(line) <= 80 for line in lines)


def test_the_json_holds_no_caution(tmp_path: Path) -> None:
    said = ready(write_journal(tmp_path, FILES), "--json")
    assert set(json.loads(said)) == {"format", "on", "can_start", "waiting", "blocked", "closing", "to_buy"}
    assert "Caution" not in said


def test_where_nothing_can_be_started_there_is_nothing_to_be_careful_of(tmp_path: Path) -> None:
    said = ready(write_journal(tmp_path, {"register/parts.yaml": "rod: {safety: brakes}\n"}))
    assert "Caution" not in said
    assert trade_lore().defer[:20] not in said
