"""What is private or hidden is in no byte of what strangers are given, and the hunt for it would find it."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from statistics import correlation, pstdev

import pytest
from click.testing import CliRunner
from PIL import Image

from journalgen.command import main
from tests.marked import (
    FIGURES,
    HIDDEN,
    ON,
    PUBLIC,
    SECRET_TIME,
    SECRETS,
    SHOWN,
    UNSEEN,
    everything,
    marked,
    pattern,
    thumbnail,
)  # fmt: skip

_TAIL = 8
"""Letters of a mark that are looked for: an index of words leaves out the first ones of a word like the one before."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return marked(tmp_path_factory)


def found_in(files: Mapping[str, bytes], marks: Mapping[str, str]) -> set[str]:
    """The things whose marks stand in any of the files, in any case."""
    whole = b"\n".join(files.values()).lower()
    return {what for what, text in marks.items() if text[-_TAIL:].encode() in whole}


def figures_in(files: Mapping[str, bytes]) -> set[str]:
    """The figures that a reader of the texts would learn, with or without a sign between the thousands.

    A PDF is full of figures that nobody reads: of it the words count.
    """
    read = (data for name, data in files.items() if ".pdf" not in name or name.endswith(": words"))
    text = "\n".join(data.decode("utf-8", "replace") for data in read)
    return {
        figure for figure in FIGURES
        if re.search(rf"(?<![\w:.]){re.escape(figure)}(?![\w:])", text) or f"{figure[0]},{figure[1:]}" in text
    }  # fmt: skip


@pytest.mark.parametrize("place", PUBLIC)
def test_no_mark_of_what_is_hidden_is_anywhere_in_what_strangers_get(made: Path, place: str) -> None:
    files = everything(made, place)
    assert not found_in(files, SECRETS)
    assert not figures_in(files)
    assert not [name for name, data in files.items() if thumbnail()[200:240] in data]
    without = {"shown what", "shown sold"} if place.endswith(".pdf") else set()  # it tells of no costs to strangers
    assert found_in(files, SHOWN) == set(SHOWN) - without


def test_the_owners_edition_shows_all_of_it(made: Path) -> None:
    site = everything(made, "journal/web/owner")
    assert set(SECRETS) - found_in(site, SECRETS) == set(UNSEEN)
    assert figures_in(site) == set(FIGURES)


def test_the_owners_dossier_shows_so_much_that_the_hunt_through_a_pdf_would_find_it(made: Path) -> None:
    dossier = everything(made, "owners.pdf")
    assert len(found_in(dossier, SECRETS)) > len(SECRETS) / 2
    assert len(figures_in(dossier)) > len(FIGURES) / 2


def test_the_owners_bag_holds_what_no_page_shows(made: Path) -> None:
    bag = everything(made, "owner-bag")
    assert found_in(bag, SECRETS) == set(SECRETS)
    assert [name for name, data in bag.items() if thumbnail()[200:240] in data]


def test_no_sum_of_the_money_is_told(made: Path) -> None:
    done = CliRunner().invoke(main, ["totals", str(made / "journal"), "--json", "--on", ON], catch_exceptions=False)
    sums = {
        text for text in re.findall(r'"(-?\d+\.\d\d)"', json.dumps(json.loads(done.stdout)["money"])) if len(text) > 6
    }
    assert len(sums) > 3
    for place in PUBLIC:
        whole = b"\n".join(everything(made, place).values())
        assert not [text for text in sums if text.encode() in whole or f"{text[:-6]},{text[-6:]}".encode() in whole]


def test_no_file_tells_when_the_journal_was_changed(made: Path) -> None:
    told = [path for place in PUBLIC for path in (made / place).rglob("*") if int(path.stat().st_mtime) == SECRET_TIME]
    assert not told
    assert int((made / "journal" / "journal.toml").stat().st_mtime) == SECRET_TIME


def pictures(made: Path, place: str) -> list[Image.Image]:
    found = [data for name, data in everything(made, place).items() if name.endswith((".jpg", ".avif"))]
    opened = [Image.open(BytesIO(data)).convert("L") for data in found]
    return [image for image in opened if image.width * 7 // 10 == image.height]


def greys(image: Image.Image) -> list[int]:
    return list(image.resize((64, 48), Image.Resampling.BOX).tobytes())


@pytest.mark.parametrize("place", [*PUBLIC, "journal/web/owner"])
def test_what_the_rectangle_hides_is_in_no_picture(made: Path, place: str) -> None:
    seen = pictures(made, place)
    widths = {image.width for image in seen}
    assert widths and widths <= {480, 960, 1000} if place.endswith(".pdf") else widths == {480, 960, 1000}
    before = greys(pattern().convert("L"))
    assert pstdev(before) > 60
    for image in seen:
        scale = image.width / 1000
        after = greys(image.crop((*(round(side * scale) for side in HIDDEN),)))  # type: ignore[arg-type]
        assert pstdev(after) < 4
        assert len(set(after)) == 1 or abs(correlation(before, after)) < 0.1


def test_the_check_of_the_rectangle_sees_what_is_not_hidden() -> None:
    once = greys(pattern().convert("L"))
    assert correlation(once, greys(pattern().convert("L").resize((160, 120)))) > 0.9
