"""The hostile journals and what is made of them, once for all tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.hostile.making import driving_journal, faulty_journal, hostile_journal


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with `journal`, assembled, and `totals`, its tables. Nothing may change it."""
    return hostile_journal(tmp_path_factory)


@pytest.fixture(scope="session")
def driving(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal, assembled, of what drives terminals alone. Nothing may change it."""
    return driving_journal(tmp_path_factory)


@pytest.fixture(scope="session")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal full of errors. Nothing may change it."""
    return faulty_journal(tmp_path_factory)
