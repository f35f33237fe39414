"""The long run: so many inputs of each kind, and what came of them as a table."""

from __future__ import annotations

import argparse
import random
import resource
import shutil
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

from journalgen.house import example_folder
from tests.fuzz import hostile, mutated, pictures, structured, trial
from tests.journals import SETTINGS

KINDS = ("structured", "mutated", "hostile", "pictures")
SHARE = {"structured": 0.3, "mutated": 0.6, "hostile": 0.0, "pictures": 0.1}
PAGES = 250
"""One journal in so many is also assembled, which takes a hundred times as long."""


def tell(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


class Run:
    """Counts, and keeps what failed."""

    def __init__(self, kept: Path) -> None:
        self.kept = kept
        self.tried: Counter[str] = Counter()
        self.came: Counter[str] = Counter()
        self.slowest = 0.0
        self.failed = 0
        self.room = Path(tempfile.mkdtemp())

    def journal(self, kind: str, files: dict[str, bytes]) -> None:
        folder = self.room / "journal"
        shutil.rmtree(folder, ignore_errors=True)
        trial.write(folder, files)
        self.tried[kind] += 1
        begun = time.process_time()
        try:
            outcome = trial.try_journal(folder, pages=self.tried[kind] % PAGES == 0 or kind == "hostile")
        except Exception:
            self.fail(kind, folder)
            return
        self.slowest = max(self.slowest, time.process_time() - begun)
        self.came["sessions"] += outcome.sessions
        self.came["errors"] += outcome.errors
        self.came["warnings"] += outcome.warnings

    def picture(self, data: bytes) -> None:
        folder = self.room / "photo"
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        self.tried["pictures"] += 1
        begun = time.process_time()
        try:
            self.came["pictures made" if pictures.try_picture(folder, data) else "pictures refused"] += 1
        except Exception:
            self.fail("pictures", folder)
        self.slowest = max(self.slowest, time.process_time() - begun)

    def fail(self, kind: str, folder: Path) -> None:
        self.failed += 1
        place = self.kept / f"{kind}-{self.failed}"
        shutil.copytree(folder, place, dirs_exist_ok=True)
        (place / "why.txt").write_text(traceback.format_exc(), encoding="utf-8", errors="backslashreplace")
        tell(f"{kind}: {traceback.format_exc().strip().splitlines()[-1][:150]} (kept in {place})")


def structured_inputs(run: Run, count: int, start: int) -> None:
    for round_ in range(0, count, 1000):

        @seed(start + round_)
        @settings(
            max_examples=min(1000, count - round_),
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(structured.journals())
        def each(files: dict[str, bytes]) -> None:
            run.journal("structured", files)

        each()


def mutated_inputs(run: Run, count: int, start: int) -> None:
    example = {
        path.relative_to(example_folder()).as_posix(): path.read_bytes()
        for path in sorted(example_folder().rglob("*"))
        if path.suffix in (".md", ".yaml", ".toml")
    }
    everything = list(example.values())
    entries = [name for name in example if name.startswith("entries/")]
    registers = [name for name in example if name.startswith("register/")]
    for n in range(count):
        chance = random.Random(start * 1_000_003 + n)
        files = {"journal.toml": SETTINGS.encode()}
        for name in chance.sample(entries, chance.choice((1, 1, 2))):
            files[name] = mutated.spoil(chance, example[name], everything, chance.choice((1, 2, 5, 20)))
        if chance.random() < 0.3:
            name = chance.choice(registers)
            files[name] = mutated.spoil(chance, example[name], everything, chance.choice((1, 2, 5)))
        if chance.random() < 0.1:
            files["journal.toml"] = mutated.spoil(chance, example["journal.toml"], everything, chance.choice((1, 2, 5)))
        run.journal("mutated", files)


def hostile_inputs(run: Run, count: int, start: int) -> None:
    base = {"journal.toml": SETTINGS.encode()}
    for data in hostile.WHOLE.values():
        run.journal("hostile", {**base, "entries/2024-03-09-a.md": data})
        for register in ("parts", "materials", "suppliers", "steps"):
            front = data.split(b"---\n")[1] if data.count(b"---\n") > 1 else data
            run.journal("hostile", {**base, f"register/{register}.yaml": front})
        run.journal("hostile", {"journal.toml": data})
    run.journal("hostile", {**base, **{f"entries/{name}": b"---\nhours: 1\n---\n" for name in hostile.NAMES}})


def picture_inputs(run: Run, count: int, start: int) -> None:
    samples = pictures.samples()
    for n in range(count):
        chance = random.Random(start * 7_000_003 + n)
        run.picture(pictures.spoil_picture(chance, chance.choice(samples)))


MAKERS: dict[str, Callable[[Run, int, int], None]] = {
    "structured": structured_inputs,
    "mutated": mutated_inputs,
    "hostile": hostile_inputs,
    "pictures": picture_inputs,
}


def rows(run: Run, seconds: float) -> Iterator[tuple[str, str]]:
    yield from ((f"tried, {kind}", f"{count:,}") for kind, count in run.tried.items())
    yield from ((f"came of them: {what}", f"{count:,}") for what, count in sorted(run.came.items()))
    yield "slowest", f"{run.slowest:.2f} s"
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 if sys.platform != "darwin" else 1024 * 1024)
    yield "memory at most", f"{peak:.0f} MB"
    yield "took", f"{seconds:.0f} s"
    yield "failed", f"{run.failed:,}"


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--inputs", type=int, default=100_000, help="how many (the hostile ones are always all)")
    parser.add_argument("--seed", type=int, default=0, help="another number makes other inputs")
    parser.add_argument("--kind", choices=KINDS, action="append", help="only these")
    parser.add_argument("--keep", type=Path, default=Path("fuzz-failures"), help="where what failed is kept")
    asked = parser.parse_args(argv)
    run, begun = Run(asked.keep), time.perf_counter()
    wanted = asked.kind or KINDS
    whole = sum(SHARE[kind] for kind in wanted) or 1.0
    try:
        for kind in wanted:
            MAKERS[kind](run, round(asked.inputs * SHARE[kind] / whole), asked.seed)
    finally:
        shutil.rmtree(run.room, ignore_errors=True)
    for what, figure in rows(run, time.perf_counter() - begun):
        tell(f"{what:32}{figure:>12}")
    return 1 if run.failed else 0


if __name__ == "__main__":
    sys.exit(main())
