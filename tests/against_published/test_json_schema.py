"""journal.json against the schema published beside it, by a reference implementation of JSON Schema 2020-12."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from journalgen.site.data import SCHEMA, render_record, render_schema
from journalgen.site.matter import OWNER, PUBLIC, Matter
from tests.site.full_journal import FILES, HIDDEN, SHOWN
from tests.site.matters import read_matter

NAME, TEXT = render_schema()
SCHEMA_TREE: dict[str, Any] = json.loads(TEXT)


def faults(record: object) -> list[str]:
    validator = Draft202012Validator(SCHEMA_TREE, format_checker=Draft202012Validator.FORMAT_CHECKER)
    return [f"{'/'.join(map(str, fault.path))}: {fault.message}" for fault in validator.iter_errors(record)]


def record_of(matter: Matter) -> dict[str, Any]:
    return json.loads(dict(render_record(matter))["data/journal.json"])  # type: ignore[no-any-return]


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA_TREE)
    assert f"data/{SCHEMA}" == NAME


@pytest.mark.parametrize("edition", [OWNER, PUBLIC])
@pytest.mark.parametrize("settings", [SHOWN, HIDDEN])
def test_a_journal_with_every_kind_of_line_keeps_to_it(tmp_path: Path, edition: str, settings: str) -> None:
    assert faults(record_of(read_matter(tmp_path, FILES, edition, settings))) == []


def test_an_empty_journal_keeps_to_it(tmp_path: Path) -> None:
    assert faults(record_of(read_matter(tmp_path, {}, OWNER, SHOWN))) == []


def test_the_example_keeps_to_it_and_carries_it(site: Path) -> None:
    for edition in (OWNER, PUBLIC):
        data = site / edition / "data"
        record = json.loads((data / "journal.json").read_text("utf-8"))
        assert (data / record["$schema"]).read_bytes() == TEXT
        assert faults(record) == []


def test_a_key_that_the_schema_does_not_name_is_a_fault(tmp_path: Path) -> None:
    record = record_of(read_matter(tmp_path, FILES, OWNER, SHOWN))
    for spoilt in ({**record, "extra": 1}, {**record, "on": "yesterday"}, {**record, "edition": "secret"}):
        assert len(faults(spoilt)) == 1
    record["sessions"][0]["minutes"] = "90"
    assert len(faults(record)) == 1
