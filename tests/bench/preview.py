"""A running preview: from the save of an entry to the browser that hears of its page, which is on disk by then."""

from __future__ import annotations

import re
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from typing import Final

from tests.bench.again import SIZE, other_hours, say_more
from tests.bench.journals import Size, small_photograph, write_journal
from tests.bench.rows import PROGRAM, Row, run
from tests.preview.running import Preview, mark_of, running

_TIMES: Final = 9
_FIRST: Final = 600.0  # seconds that the first pages may take


def measure(size: Size = SIZE) -> Iterator[Row]:
    """Edits of its text and of its hours, each until the page is stale for a browser that shows it."""
    with tempfile.TemporaryDirectory() as folder:
        journal = Path(folder) / "journal"
        write_journal(journal, size, small_photograph())
        entry = sorted((journal / "entries").rglob("*.md"))[size.sessions // 2]
        title = re.search("^title: (.*)$", entry.read_text(encoding="utf-8"), re.MULTILINE)
        name = f"{entry.name[:10]}-{(title[1] if title else '').lower().replace(' ', '-')}.html"
        run([*PROGRAM, "assemble", journal])
        with running(journal) as preview:
            preview.wait_for(f"/sessions/{name}", "<main", _FIRST)
            with preview.news("index.html") as news:
                news.until("pictures", 0)
            what = f"{size.sessions} sessions, {size.photographs} photographs"
            for kind, edit in (("its text", say_more), ("its hours", other_hours)):
                taken = []
                for n in range(_TIMES):
                    said = len(preview.said)
                    taken.append(_time(preview, f"sessions/{name}", lambda n=n, edit=edit: edit(entry, n)))
                    while len(preview.said) == said:  # until all that depends on it is renewed
                        time.sleep(0.1)
                figure = f"preview, from the save to the browser told ({kind}), {what}"
                yield Row(figure, 1000 * median(taken), "ms", 100)


def _time(preview: Preview, page: str, edit: Callable[[], None]) -> float:
    mark = mark_of(preview.page(f"/{page}"))
    with preview.news(page, int(mark["since"]), mark["run"]) as news:
        news.next()
        start = time.perf_counter()
        edit()
        news.until("stale")
        return time.perf_counter() - start
