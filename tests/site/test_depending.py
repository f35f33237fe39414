"""What is taken to be the same because its mark is, is the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

from journalgen.languages import load_words
from journalgen.site.depending import On
from journalgen.site.matter import OWNER, PUBLIC, Matter
from journalgen.site.pages import Pages
from journalgen.site.renewing import Memory, Renewal
from journalgen.site.themes import find_theme
from journalgen.site.units import EditionUnits, marks_of
from journalgen.site.watching import Glimpses
from tests.site.matters import read_matter
from tests.site.test_renewing import FILES, ON

THEME: Final = find_theme("enamel", Path())
EDITS: Final = (
    ("hours: 2:30", "hours: 3:30"),  # of a session with a start, so that it ended later
    ("hours: 1:30", "hours: 10 min"),  # of a line
    ("hours: 1 h", "hours: 7 h"),
    ("hours: 1 h", "hours: 61 min"),
    ("hours: 45 min", "hours: 46 min"),
    ("step: etch", "step: etch, note: in the sun"),
    ("private: no", "private: yes"),
    ("price: 12 EUR", "price: 13 EUR"),
    ("Wheel came up well", "Wheel came up fine"),
    ("area: 0.4 m2", "area: 0.5 m2"),
    ("kind: coating", "kind: primer"),
    ("shows: before", "shows: during"),
)


class Root(Struct):
    matter: Matter
    index: Any


class NothingStands:
    def has(self, name: str) -> bool:
        return False

    def read(self, name: str) -> bytes | None:
        return None


def remembered(matter: Matter) -> Memory:
    """What is remembered of an edition that is made whole."""
    pages = Pages(matter, THEME, load_words("en"))
    renewal = Renewal(
        EditionUnits(pages, matter, THEME), pages.desk, None, marks_of(pages, matter, THEME), NothingStands()
    )
    list(renewal.make())
    return renewal.memory


def edited(edits: list[tuple[str, str]]) -> dict[str, str]:
    files = dict(FILES)
    for old, new in edits:
        files = {name: text.replace(old, new) for name, text in files.items()}
    return files


def matters(folder: Path, edits: list[tuple[str, str]], edition: str) -> Matter:
    folder.mkdir(parents=True)
    return read_matter(folder, edited(edits), edition, on=ON)


def test_what_hangs_on_a_mark_that_is_the_same_is_the_same(tmp_path_factory: Any) -> None:
    stood = dict.fromkeys(On, 0)
    first = {e: remembered(matters(tmp_path_factory.mktemp("first") / "j", [], e)) for e in (OWNER, PUBLIC)}

    @settings(max_examples=60)
    @given(st.lists(st.sampled_from(EDITS), min_size=1, max_size=2, unique=True), st.sampled_from((OWNER, PUBLIC)))
    def after_any(edits: list[tuple[str, str]], edition: str) -> None:
        before = first[edition]
        matter = matters(tmp_path_factory.mktemp("then") / "j", edits, edition)
        pages = Pages(matter, THEME, load_words("en"))
        same = marks_of(pages, matter, THEME).same(before.marks)
        glimpses = Glimpses(Root(matter, pages.desk.index))
        for on, path, digest in zip(before.hangs, before.paths, before.digests, strict=True):
            if on in same:
                stood[On(on)] += 1
                assert glimpses.digest(path) == digest, path

    after_any()
    assert min(count for on, count in stood.items() if on not in (On.WORDS, On.PICTURES)) > 100
    assert stood[On.WORDS] == 0


def test_a_step_that_is_never_timed_anew_keeps_the_pace(tmp_path: Path) -> None:
    """Only then do waits and processes stand after an edit of hours: otherwise marks would be right and of no use."""
    before = remembered(matters(tmp_path / "a", [], OWNER)).marks
    longer = matters(tmp_path / "b", [("hours: 45 min", "hours: 46 min")], OWNER)  # no start, no step
    pages = Pages(longer, THEME, load_words("en"))
    assert marks_of(pages, longer, THEME).same(before) == {On.PACE, On.UNTIMED, On.PICTURES}
    ended_later = matters(tmp_path / "c", [("hours: 2:30", "hours: 3:30")], OWNER)
    pages = Pages(ended_later, THEME, load_words("en"))
    assert marks_of(pages, ended_later, THEME).same(before) == {On.UNTIMED, On.PICTURES}
