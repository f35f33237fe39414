"""What the bench prints: a figure, what it was held against, and the limit it should keep to."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median
from typing import Final

from msgspec import Struct

PROGRAM: Final = (sys.executable, "-m", "journalgen")
MEGABYTE: Final = 1024 * 1024


class Row(Struct, frozen=True):
    """One figure. What is held against the limit is the ratio where there is something beside it, else the value."""

    figure: str
    value: float
    unit: str  # s, ms, MB, kB or nothing
    limit: float | None = None  # at most
    beside: str = ""
    beside_value: float | None = None  # in the same unit

    @property
    def ratio(self) -> float | None:
        return self.value / self.beside_value if self.beside_value else None

    @property
    def held(self) -> float:
        """What is compared with the limit."""
        return self.value if self.ratio is None else self.ratio


class Process(Struct, frozen=True):
    """What a whole process took."""

    seconds: float
    megabytes: float  # at most, of it or of any process that it started


def run(command: Sequence[str | Path], core: int | None = None) -> Process:
    """Runs a process to its end, on one core if one is named, keeping what it compiled. RuntimeError if it fails."""
    pin = (lambda: os.sched_setaffinity(0, {core})) if core is not None and hasattr(os, "sched_setaffinity") else None
    start = time.perf_counter()
    with subprocess.Popen(
        [str(word) for word in command],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        preexec_fn=pin,
        env={name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"},
    ) as process:
        said = process.stderr.read() if process.stderr else b""
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - start
    if process.returncode:
        raise RuntimeError(f"{command} ended with {process.returncode}: {said.decode(errors='replace')}")
    return Process(seconds, used.ru_maxrss / (1024 if sys.platform != "darwin" else MEGABYTE))


def in_turn(
    runs: int, ours: Callable[[], float], beside: Callable[[], float]
) -> tuple[float, float]:  # machines drift, so that two figures taken apart could not be compared
    """The medians of two measurements that take turns."""
    pairs = [(ours(), beside()) for _ in range(runs)]
    return median(one for one, _ in pairs), median(other for _, other in pairs)
