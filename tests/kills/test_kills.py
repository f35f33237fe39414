"""A few kills of what `python -m tests.kills` does two hundred times."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.kills.scenes import SCENES

pytest.importorskip("resource", reason="signals are a matter of POSIX")


@pytest.mark.parametrize("verb", SCENES)
def test_whenever_a_run_is_killed_all_is_old_or_new_and_the_next_run_completes_it(verb: str, tmp_path: Path) -> None:
    scene = SCENES[verb](tmp_path)
    for n in range(3):
        scene.kill_once(random.Random(n))
