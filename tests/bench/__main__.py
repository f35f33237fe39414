"""How the program fares: `python -m tests.bench`, a table, or `--json`.

Whole processes are timed, each beside a bare one in the same run where there is one, since a ratio tells
more than seconds do: machines differ, and drift. The limit of each figure stands beside it; nothing is
asserted. `python -m tests.bench cold again` measures only these. What libvips does is measured with the
package's extra `bench`.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator
from typing import Final

from msgspec import to_builtins

from tests.bench import again, cold, pages, preview, scale, start
from tests.bench.rows import Row

MEASURES: Final[dict[str, Callable[[], Iterator[Row]]]] = {
    "start": start.measure,
    "again": again.measure,
    "preview": preview.measure,
    "pages": pages.measure,
    "cold": cold.measure,
    "scale": scale.measure,
}


def say(row: Row) -> str:
    """A line of the table: the figure, what it is held against, the limit."""
    value = f"{row.value:.3g} {row.unit}".strip()
    beside = f"  {row.ratio:.2f} x {row.beside} ({row.beside_value:.3g} {row.unit})" if row.ratio else ""
    limit = "" if row.limit is None else f"  at most {row.limit:g}{'' if row.ratio else f' {row.unit}'.rstrip()}"
    over = "  OVER" if row.limit is not None and row.held > row.limit else ""
    return f"{row.figure}: {value}{beside}{limit}{over}"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description="Measures how the program fares.")
    parser.add_argument("measures", nargs="*", choices=[[], *MEASURES], metavar="MEASURE", help=", ".join(MEASURES))
    parser.add_argument("--json", action="store_true", dest="as_json")
    asked = parser.parse_args()
    rows = []
    for name in asked.measures or MEASURES:
        for row in MEASURES[name]():
            rows.append({**to_builtins(row), "ratio": row.ratio})
            if not asked.as_json:
                sys.stdout.write(say(row) + "\n")
                sys.stdout.flush()
    if asked.as_json:
        sys.stdout.write(json.dumps(rows, indent=1) + "\n")


if __name__ == "__main__":
    main()
