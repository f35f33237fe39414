"""What is costly is made once for all the processes over which tests are spread."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from journalgen.alone import Taken, alone


def made_once(folders: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """A folder that the first who asks for it fills; whoever asks meanwhile waits. Only one is made at a time."""
    root = folders.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        root = root.parent  # each process has a folder of its own in that of the run
    made = root / name
    while not made.exists():
        try:
            with alone(root / ".making"):
                if not made.exists():
                    begun = folders.mktemp(f"{name}-begun")
                    make(begun)
                    begun.rename(made)
        except Taken:
            time.sleep(0.1)
    return made
