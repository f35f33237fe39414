"""Ledgers are computed from records alone: they know of no file, no page and no clock."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import journalgen.ledgers

MODULES = sorted(Path(journalgen.ledgers.__file__).parent.glob("*.py"))
OF_OURS = (
    "keeping",
    "whole",
    "alone",
    "stamps",
    "program",
    "beside",
    "reading",
    "pictures",
    "site",
    "outside",
    "verbs",
)
OTHERS = ("io", "os", "pathlib", "shutil", "subprocess", "sys", "tempfile", "time")


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.stem)
def test_a_ledger_touches_nothing(module: Path) -> None:
    names = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names |= {node.module or "", *(f"{node.module}.{alias.name}" for alias in node.names)}
    roots = {name.split(".")[0] for name in names} | {".".join(name.split(".")[:2]) for name in names}
    assert roots.isdisjoint(OTHERS)
    assert roots.isdisjoint(f"journalgen.{name}" for name in OF_OURS)
