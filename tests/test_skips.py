"""A skip fails the run where every test is meant to run, in whatever process it happened."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1]
SKIPPED = {
    "test_one.py": "import pytest\n\n@pytest.mark.skip\ndef test_skipped(): ...\n\ndef test_passed(): ...\n",
    "test_module.py": "import pytest\n\npytest.importorskip('no_such_library')\n",
}


@pytest.mark.parametrize(("processes", "must_run"), [(0, False), (0, True), (2, True)])
def test_a_skip_fails_the_run_if_every_test_must_run(tmp_path: Path, processes: int, must_run: bool) -> None:
    (tmp_path / "pytest.ini").write_text("[pytest]\n")
    for name, text in SKIPPED.items():
        (tmp_path / name).write_text(text)
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "JOURNALGEN"))}
    environment |= {"PYTHONPATH": str(HOUSE)} | ({"JOURNALGEN_MUST_RUN": "1"} if must_run else {})
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "tests.conftest", "-p", "no:cacheprovider", "-n", str(processes), "."],
        cwd=tmp_path, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "1 passed, 2 skipped" in ran.stdout
    assert ran.returncode == (1 if must_run else 0)
    assert [name for name in (*SKIPPED, "test_one.py::test_skipped") if f"\n{name}\n" in ran.stdout] == (
        ["test_module.py", "test_one.py::test_skipped"] if must_run else []
    )
