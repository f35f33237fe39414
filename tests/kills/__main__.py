"""Kills each verb so many times, at moments chosen by chance, and says what was lost: nothing, it is hoped."""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.kills.scenes import SCENES, Lost


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.kills", description=__doc__)
    parser.add_argument("--times", type=int, default=200)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--verb", choices=list(SCENES), action="append", help="only these")
    asked = parser.parse_args(argv)
    failed = 0
    for verb in asked.verb or SCENES:
        with tempfile.TemporaryDirectory() as room:
            scene, chance, midway, lost = SCENES[verb](Path(room)), random.Random(asked.seed), 0, []
            for _ in range(asked.times):
                try:
                    midway += scene.kill_once(chance)
                except Lost as fault:
                    lost.append(str(fault))
        failed += len(lost)
        sys.stdout.write(f"{verb}: killed {midway} times, {len(lost)} losses\n")
        sys.stdout.writelines(f"  {what}\n" for what in lost[:10])
        sys.stdout.flush()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
