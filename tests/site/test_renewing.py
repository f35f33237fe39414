"""A site that is renewed after each change holds the same bytes as one that is made from nothing."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from hypothesis import given, seed, settings
from hypothesis import strategies as st
from PIL import Image

from journalgen.keeping import CACHE
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.site.assemble import Assembler, JournalFaulty, Order
from journalgen.site.checked import Checked
from journalgen.site.manifest import MANIFEST
from journalgen.site.themes import ThemeFault
from tests.journals import SETTINGS, write_journal
from tests.memory import MEMORY

ON: Final = date(2024, 6, 1)
SHARES: Final = 10  # of the many examples, so that several processes can try them
FILES: Final = {
    "entries/2024-03-09-etch.md": """
        ---
        start: 19:00
        hours: 2:30
        parts: [wheel, lever]
        work:
          - {part: wheel, step: etch, hours: 1:30, material: zinc primer, amount: 120 mL, air: 18 degC, humidity: 55 %}
        bought:
          - {material: zinc primer, amount: 1 L, price: 31.90 GBP, from: a seller}
        measures:
          - {part: wheel, what: bore, value: 25.02 mm, limits: 25.00 .. 25.03 mm, uncertainty: 0.005 mm}
        photos:
          - {file: one.png, part: wheel, shows: before, caption: as it came}
        ---
        Wheel came up well, see [the lever](part:lever).
        """,
    "entries/2024-03-16-prime.md": """
        ---
        hours: 1 h
        work:
          - {part: wheel, step: prime, material: zinc primer, amount: 80 mL, wait: 3 d}
          - {part: lever, step: trial fit, result: fits}
        photos:
          - {file: two.png, part: wheel, shows: after}
        private: no
        ---
        Primed after [the etching](session:2024-03-09).
        """,
    "entries/2024-04-02-brake.md": """
        ---
        parts: shoe
        hours: 45 min
        bought:
          - {part: shoe, kind: used spare, price: 12 EUR, from: another seller}
        decisions:
          - {part: shoe, do: repair, why: lining worn}
        ---
        The **shoe**.
        """,
    "register/parts.yaml": """
        wheel: {assembly: running gear, area: 0.4 m2, route: painted steel, needs: [axle]}
        axle: {assembly: running gear}
        lever: {assembly: brakes, safety: brakes}
        shoe: {assembly: brakes, stored: shelf B}
        """,
    "register/materials.yaml": """
        zinc primer: {kind: coating, solids: 52 %, film: 40 um, recoat: 4 h .. 7 d, hazards: [H226]}
        """,
}


def write(folder: Path, name: str, text: str) -> None:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def change(folder: Path, name: str, old: str, new: str) -> None:
    """Puts one text for another; what the file does not hold, or a file that is gone, stays as it is."""
    path = folder / name
    if path.exists():
        path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")


def draw(folder: Path, name: str, shade: int) -> None:
    (folder / "photos").mkdir(exist_ok=True)
    Image.new("RGB", (64, 48), (shade, 90, 160)).save(folder / "photos" / name)


def entries(folder: Path) -> list[Path]:
    return sorted((folder / "entries").glob("*.md"))


def say_more(folder: Path, n: int) -> None:
    for path in entries(folder)[n % 3 : n % 3 + 1]:
        path.write_text(f"{path.read_text(encoding='utf-8')}\nMore was said, {n}.\n", encoding="utf-8")


def add_entry(folder: Path, n: int) -> None:
    part, step = ("wheel", "lever", "bracket")[n % 3], ("etch", "fit", "polish", "prime")[n % 4]
    lines = ["---", f"hours: {n + 30} min", "work:", f"  - {{part: {part}, step: {step}}}", "---", f"Evening {n}."]
    write(folder, f"entries/2024-05-{n % 28 + 1:02}-evening-{n}.md", "\n".join(lines))


def remove_entry(folder: Path, n: int) -> None:
    for path in entries(folder)[n % 4 : n % 4 + 1]:
        path.unlink()


def rename_entry(folder: Path, n: int) -> None:
    for path in entries(folder)[n % 3 : n % 3 + 1]:
        path.rename(path.with_name(f"{path.stem[:10]}-renamed-{n}.md"))


def spoil_page(folder: Path, n: int) -> None:
    pages = sorted((folder / "web").glob("*/*.html"))
    for page in pages[n % 9 : n % 9 + 1]:
        page.write_text("spoilt", encoding="utf-8")


def remove_page(folder: Path, n: int) -> None:
    pages = sorted((folder / "web").glob("*/*/*.html"))
    for page in pages[n % 9 : n % 9 + 1]:
        page.unlink()


def add_template(folder: Path, n: int) -> None:
    write(folder, "themes/own/theme.toml", 'parent = "enamel"\n')
    write(folder, "themes/own/own.html", f"{n}")
    change(folder, "journal.toml", "time_zone", 'theme = "own"\ntime_zone' if n % 2 else "time_zone")


Change = Callable[[Path, int], object]


def say(text: str) -> Change:
    """Adds a paragraph to an entry."""

    def add(folder: Path, n: int) -> None:
        for path in entries(folder)[n % 3 : n % 3 + 1]:
            path.write_text(f"{path.read_text(encoding='utf-8')}\n{text.format(n=n)}\n", encoding="utf-8")

    return add


CHANGES: Final[dict[str, Change]] = {
    "more is said": say_more,
    "much is said": say("Much was said, {n}. " * 120),
    "a part is named": say("See [it](part:shoe), {n}."),
    "a session is named": say("See [then](session:2024-04-02), {n}."),
    "what is named is not there": say("See [it](part:nothing-{n})."),
    "a photograph is said": say("![as it came, {n}](one.png)"),
    "a photograph that is not there": say("![{n}](none-{n}.png)"),
    "hours of a line": lambda f, n: change(f, "entries/2024-03-09-etch.md", "hours: 1:30", f"hours: 0:{n % 50 + 10}"),
    "hours of a session": lambda f, n: change(f, "entries/2024-03-09-etch.md", "hours: 2:30", f"hours: {n % 9 + 3}:00"),
    "hours": lambda f, n: change(f, "entries/2024-03-16-prime.md", "hours: 1 h", f"hours: {n + 1} h"),
    "a title": lambda f, n: change(f, "entries/2024-03-09-etch.md", "start:", f"title: Title {n}\nstart:"),
    "private": lambda f, n: change(f, "entries/2024-03-16-prime.md", "private: no", "private: yes"),
    "public": lambda f, n: change(f, "entries/2024-03-16-prime.md", "private: yes", "private: no"),
    "a price": lambda f, n: change(f, "entries/2024-04-02-brake.md", "price: 12 EUR", f"price: {n}.50 GBP"),
    "a new entry": add_entry,
    "an entry gone": remove_entry,
    "an entry renamed": rename_entry,
    "an area": lambda f, n: change(f, "register/parts.yaml", "area: 0.4 m2", f"area: 0.{n + 1} m2"),
    "an assembly": lambda f, n: change(
        f, "register/parts.yaml", "assembly: brakes, safety", "assembly: stopping, safety"
    ),
    "a name": lambda f, n: change(f, "register/parts.yaml", "shoe: {", f"shoe: {{also called: [block {n}], "),
    "a film": lambda f, n: change(f, "register/materials.yaml", "film: 40 um", f"film: {n + 20} um"),
    "a supplier": lambda f, n: write(f, "register/suppliers.yaml", f"a seller: {{place: Town {n}}}\n"),
    "a step": lambda f, n: write(f, "register/steps.yaml", f"steps:\n  etch: {{label: Etch {n}, wait: {n + 1} h}}\n"),
    "the title of the journal": lambda f, n: change(f, "journal.toml", 'title = "Test', f'title = "{n} Test'),
    "nothing hidden": lambda f, n: write(f, "journal.toml", f"{SETTINGS}\n[editions.public]\nhide = []\n"),
    "hours hidden": lambda f, n: write(f, "journal.toml", f'{SETTINGS}\n[editions.public]\nhide = ["hours"]\n'),
    "another theme": lambda f, n: write(f, "journal.toml", f'{SETTINGS}\ntheme = "plain"\n'),
    "the first settings": lambda f, n: write(f, "journal.toml", SETTINGS),
    "imperial": lambda f, n: write(f, "journal.toml", f'{SETTINGS}\nunits = "imperial"\n'),
    "a template": add_template,
    "a photograph": lambda f, n: draw(f, "one.png", n),
    "another photograph": lambda f, n: draw(f, "two.png", n),
    "a photograph gone": lambda f, n: (f / "photos" / "two.png").unlink(missing_ok=True),
    "a region hidden": lambda f, n: change(
        f, "entries/2024-03-09-etch.md", "{file: one.png,", f"{{file: one.png, hide: [[1, 1, {n + 4}, 9]],"
    ),
    "a page spoilt": spoil_page,
    "a page removed": remove_page,
    "no cache": lambda f, n: shutil.rmtree(f / CACHE, ignore_errors=True),
    "no spare": lambda f, n: [shutil.rmtree(spare) for spare in (f / CACHE / "trees").glob("*/spare")],
    "a spare that lacks a page": lambda f, n: [page.unlink() for page in (f / CACHE / "trees").glob("*/spare/a*.html")],
    "a spoilt state": lambda f, n: [state.write_bytes(b"rubbish") for state in (f / CACHE / "trees").glob("*/state")],
    "an entry that is faulty": lambda f, n: write(f, "entries/2024-05-30-bad.md", "---\nhours: many\n---\n"),
    "one that is mended": lambda f, n: write(f, "entries/2024-05-30-bad.md", "---\nhours: 1\n---\n"),
}


RATES: Final = EuropeanCentralBank()


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal that has been assembled."""
    folder = write_journal(tmp_path_factory.mktemp("journal") / "j", FILES)
    draw(folder, "one.png", 10)
    draw(folder, "two.png", 200)
    Assembler(Order(folder, ON), RATES).assemble()
    return folder


def read_tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def assembled(assembler: Assembler) -> bool:
    try:
        assembler.assemble()
    except JournalFaulty:
        return False
    return True


def cold(folder: Path, out: Path) -> dict[str, bytes]:
    """The sites of a journal made from nothing; only its pictures, whose names tell what they are, may be there."""
    copy = out / "copy"
    shutil.copytree(
        folder, copy, ignore=shutil.ignore_patterns("web", "read", "last", "shown", "said", "checked", "trees")
    )
    return read_tree(copy / "web") if assembled(Assembler(Order(copy, ON), RATES)) else {}


def sites(web: Path) -> dict[str, bytes]:
    """What is published, without what lies beside it."""
    return {name: found for name, found in read_tree(web).items() if not name.startswith(".")}


steps = st.lists(st.tuples(st.sampled_from(sorted(CHANGES)), st.integers(0, 60), st.booleans()), min_size=1, max_size=5)


@pytest.mark.parametrize(
    "changes",
    [
        [("more is said", 1, False), ("more is said", 2, True)],
        [("a photograph", 7, False), ("no cache", 0, True), ("a photograph", 9, True)],
        [("no cache", 0, False), ("no cache", 0, False)],
        [("a name", 0, False), ("a page removed", 39, False)],
        [("an entry that is faulty", 0, True), ("more is said", 1, True), ("one that is mended", 0, True)],
    ],
)
def test_renewed_is_made_from_nothing(made: Path, changes: list[tuple[str, int, bool]]) -> None:
    renew(made, changes)


@pytest.fixture
def one_core() -> Iterator[None]:
    """On one core nothing is made by other processes, which would take longer to start than all that they make here."""
    if not hasattr(os, "sched_setaffinity"):
        yield
        return
    cores, worker = os.sched_getaffinity(0), os.environ.get("PYTEST_XDIST_WORKER", "gw0")
    os.sched_setaffinity(0, {sorted(cores)[int(worker[2:]) % len(cores)]})
    yield
    os.sched_setaffinity(0, cores)


@pytest.mark.usefixtures("one_core")
@pytest.mark.parametrize("share", range(SHARES))
def test_renewed_after_any_changes_is_made_from_nothing(made: Path, share: int) -> None:
    @seed(share)
    @settings(max_examples=220 // SHARES + 1)  # the first is the same in each share
    @given(steps)
    def after_any(changes: list[tuple[str, int, bool]]) -> None:
        renew(made, changes)

    after_any()


def renew(made: Path, changes: list[tuple[str, int, bool]]) -> None:
    """After the changes, whether the same process goes on or another takes over (the last of each three)."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as held:
        folder = Path(held) / "journal"
        shutil.copytree(made, folder, copy_function=shutil.copy2)
        assembler = Assembler(Order(folder, ON), RATES)
        whole = True
        for name, n, fresh in changes:
            CHANGES[name](folder, n)
            if fresh:
                assembler = Assembler(Order(folder, ON), RATES)
            whole = assembled(assembler)
        expected = {name: found for name, found in cold(folder, Path(held)).items() if name[0] != "."}
        if whole:
            found = sites(folder / "web")
            assert found.keys() == expected.keys()
            assert [name for name in found if found[name] != expected[name]] == []
        else:
            assert expected == {}


def test_what_others_put_into_a_site_outlasts_every_renewal(made: Path, tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    shutil.copytree(made, folder)
    theirs = folder / "web" / "public" / "mine" / "notes.txt"
    for n in range(4):
        theirs.parent.mkdir(exist_ok=True)
        theirs.write_text(f"keep {n}", encoding="utf-8")
        say_more(folder, n)
        Assembler(Order(folder, ON), RATES).assemble()
        assert theirs.read_text(encoding="utf-8") == f"keep {n}"
    theirs.unlink()
    say_more(folder, 5)
    Assembler(Order(folder, ON), RATES).assemble()
    assert not theirs.exists()
    assert "mine/notes.txt" not in (folder / "web" / "public" / MANIFEST).read_text(encoding="utf-8")


def test_only_what_saw_the_change_is_written_again(made: Path, tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    shutil.copytree(made, folder)
    assembler = Assembler(Order(folder, ON), RATES)
    assembler.assemble()
    before = {name: (folder / "web" / name).stat().st_mtime_ns for name in sites(folder / "web")}
    say_more(folder, 0)
    assembler.assemble()
    changed = {name for name in sites(folder / "web") if before[name] != (folder / "web" / name).stat().st_mtime_ns}
    assert {Path(name).name for name in changed} <= {
        "2024-03-09-etch.html", "search.html", "search-index.js", "feed.atom", "journal.json", MANIFEST,
    }  # fmt: skip
    assert "owner/sessions/2024-03-09-etch.html" in changed


def test_the_page_of_an_edited_entry_is_there_before_the_rest(made: Path, tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    shutil.copytree(made, folder)
    assembler = Assembler(Order(folder, ON), RATES)
    entry, page = "entries/2024-03-16-prime.md", folder / "web" / "owner" / "sessions" / "2024-03-16-prime.html"
    assert assembler.show_entry(entry) is None  # nothing is known yet
    assembler.assemble()
    change(folder, entry, "hours: 1 h", "hours: 5 h")
    change(folder, entry, "Primed after", "Primed well after")
    assert assembler.show_entry(entry) == page
    shown = page.read_bytes()
    assert b"Primed well after" in shown
    assembler.assemble()
    assert page.read_bytes() == shown
    assert sites(folder / "web") == {name: f for name, f in cold(folder, tmp_path).items() if name[0] != "."}


EDITS: Final = {
    "entries/2024-03-09-etch.md": (
        ("hours: 2:30", "hours: 3:30"),
        ("hours: 1:30", "hours: 10 min"),
        ("humidity: 55 %", "humidity: 88 %"),
        ("amount: 120 mL", "amount: 1 L"),
        ("step: etch", "step: fit"),
        ("step: etch", "step: prime, coat: 2"),
        ("price: 31.90 GBP", "price: 40 EUR"),
        ("from: a seller", "from: another seller"),
        ("value: 25.02 mm", "value: 25.2 mm"),
        ("caption: as it came", "caption: as it stood"),
        ("Wheel came", "The wheel came"),
    ),
    "entries/2024-03-16-prime.md": (
        ("hours: 1 h", "hours: 7 h"),
        ("wait: 3 d", "wait: 90 d"),
        ("material: zinc primer", "hours: 30 min, material: zinc primer"),
        ("step: trial fit", "step: fit"),
        ("part: lever", "part: [lever, shoe]"),
        ("shows: after", "shows: before"),
        ("Primed after", "uses"),
        ("private: no", "parts: axle\nmaterials: zinc primer 2 L"),
    ),
}


def without_problems(page: Path) -> bytes:
    """Those of an entry are found by looking at the whole journal, and follow with it."""
    return re.sub(rb'<details class="problems".*?</details>', b"", page.read_bytes(), count=1, flags=re.DOTALL)


@pytest.mark.usefixtures("one_core")
def test_the_page_shown_at_once_is_that_of_the_whole(made: Path) -> None:
    shown = []

    @seed(1)
    @settings(max_examples=15)
    @given(st.lists(st.sampled_from([(file, edit) for file, row in EDITS.items() for edit in row]), max_size=6))
    def edited(edits: list[tuple[str, tuple[str, str]]]) -> None:
        with tempfile.TemporaryDirectory(dir=MEMORY) as held:
            folder = Path(held) / "journal"
            shutil.copytree(made, folder, copy_function=shutil.copy2)
            assembler = Assembler(Order(folder, date(2024, 5, 1)), RATES)
            assembler.assemble()
            for file, edit in edits:
                change(folder, file, *edit)
                page = assembler.show_entry(file)
                before = without_problems(page) if page else b""
                assembler.assemble()
                if page:
                    shown.append(file)
                    assert without_problems(page) == before

    edited()
    assert len(shown) > 10


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("hours: 1 h", "hours: 1 h\ntitle: Another"),  # its page has another name
        ("hours: 1 h", "hours: 1 h\ndate: 2024-03-20"),
        ("private: no", "private: yes"),
        ("part: lever", "part: bracket"),  # a new name
        ("two.png", "one.png"),
        ("hours: 1 h", "hours: many"),
    ],
)
def test_an_edit_that_reaches_farther_is_left_to_the_whole(made: Path, tmp_path: Path, old: str, new: str) -> None:
    folder = tmp_path / "journal"
    shutil.copytree(made, folder)
    assembler = Assembler(Order(folder, ON), RATES)
    assembler.assemble()
    before = sites(folder / "web")
    change(folder, "entries/2024-03-16-prime.md", old, new)
    assert assembler.show_entry("entries/2024-03-16-prime.md") is None
    assert sites(folder / "web") == before


def test_a_picture_that_was_edited_in_a_site_is_made_again(made: Path, tmp_path: Path) -> None:
    """Its file has a second name in the cache, so that the edit spoils both."""
    folder = tmp_path / "journal"
    shutil.copytree(made, folder)
    Assembler(Order(folder, ON), RATES).assemble()
    before = sites(folder / "web")
    picture = min((folder / "web" / "public" / "pictures").glob("*.jpg"))
    with picture.open("r+b") as file:
        file.seek(100)
        file.write(b"\0\0\0\0")
    assert sites(folder / "web") != before
    say_more(folder, 0)  # else nothing would be looked at
    Assembler(Order(folder, ON), RATES).assemble()
    after = sites(folder / "web")
    assert {name: found for name, found in after.items() if "pictures/" in name} == {
        name: found for name, found in before.items() if "pictures/" in name
    }


def test_nothing_of_an_earlier_site_stays_beside_the_one_that_is_there(made: Path, tmp_path: Path) -> None:
    """The folder with the sites may be published whole, and what has become private must not be in it."""
    folder, out = tmp_path / "journal", tmp_path / "out"
    shutil.copytree(made, folder)
    order = Order(folder, ON, editions=("public",), to=out)
    assembler = Assembler(order, RATES)
    for text in ("a secret", "no more"):
        change(folder, "entries/2024-04-02-brake.md", "The **shoe**", f"{text}, The **shoe**")
        assembler.assemble()
    assert any(b"a secret" in found for found in read_tree(out).values())
    change(folder, "entries/2024-04-02-brake.md", "parts: shoe", "private: yes\nparts: shoe")
    assembler.assemble()
    assert not [name for name, found in read_tree(out).items() if b"a secret" in found or b"2024-04-02-brake" in found]
    assert {path.name for path in out.iterdir()} == {"public", ".public.lock"}


def test_a_picture_that_was_changed_in_place_is_mended_by_the_next_run(tmp_path: Path) -> None:
    """Sites have pictures under second names, so that what spoils one there spoils what is remembered of it."""
    folder = write_journal(tmp_path / "journal", FILES)
    draw(folder, "one.png", 10)
    for n in range(3):  # until nothing of the pictures' folder is new
        time.sleep(0.06)
        say_more(folder, n)
        Assembler(Order(folder, ON), RATES).assemble()
    picture = next((folder / "web" / "owner" / "pictures").glob("*.jpg"))
    sound = picture.read_bytes()
    with picture.open("r+b") as stream:
        stream.truncate(100)
    say_more(folder, 4)
    Assembler(Order(folder, ON), RATES).assemble()
    for place in ("web/owner", "web/public", CACHE):
        assert (folder / place / "pictures" / picture.name).read_bytes() == sound


def spoil(picture: Path) -> bytes:
    """Cuts a picture off where it lies, and gives what it was."""
    sound = picture.read_bytes()
    with picture.open("r+b") as stream:
        stream.truncate(10)
    return sound


@pytest.mark.parametrize("editions", [("owner",), ("public", "owner")])
def test_a_spoilt_picture_is_mended_in_every_site_even_if_a_run_in_between_fails(
    tmp_path: Path, editions: tuple[str, ...]
) -> None:
    folder = write_journal(tmp_path / "journal", FILES)
    draw(folder, "one.png", 10)
    time.sleep(0.06)
    Assembler(Order(folder, ON), RATES).assemble()
    picture = next((folder / "web" / "owner" / "pictures").glob("*.jpg"))
    sound = spoil(picture)
    write(folder, "themes/own/theme.toml", 'parent = "enamel"\n')
    write(folder, "themes/own/about.html", "{{ no_such_thing() }}")
    with pytest.raises(ThemeFault):
        Assembler(Order(folder, ON, theme="own"), RATES).assemble()
    Assembler(Order(folder, ON, editions=editions), RATES).assemble()
    Assembler(Order(folder, ON), RATES).assemble()
    for place in ("web/owner", "web/public", CACHE):
        assert (folder / place / "pictures" / picture.name).read_bytes() == sound


def test_a_picture_that_is_gone_stays_missed_until_it_is_made(made: Path, tmp_path: Path) -> None:
    """As in a preview, where it is made meanwhile."""
    folder = tmp_path / "journal"
    shutil.copytree(made, folder, copy_function=shutil.copy2)
    Assembler(Order(folder, ON), RATES).assemble()
    goes_on = Assembler(Order(folder, ON, pages_only=True), RATES)
    assert not goes_on.assemble().not_made
    next((folder / CACHE / "pictures").glob("*.avif")).unlink()
    time.sleep(0.06)
    assert [len(goes_on.assemble().not_made) for _ in range(3)] == [1, 1, 1]


class Failing:
    """Rates that cannot be read."""

    def find(self, currency: str, home: str, day: date) -> None:
        raise OSError("The file cannot be read.")


def test_what_the_ledgers_found_is_kept_whole_or_not_at_all(tmp_path: Path) -> None:
    """Else a journal with errors would be taken for one without."""
    checked = Checked()
    faulty = (
        "---\nhours: 1\nwork:\n  - {part: wheel, step: etch, hours: 2}\nbought: [{part: wheel, price: 3 EUR}]\n---\n"
    )
    before = read_journal(write_journal(tmp_path / "a", {"entries/2024-03-09-a.md": faulty})).journal
    found = Problems()
    checked.figures_of(before, RATES, ON, found)
    assert "hours-exceed-session" in {problem.rule for problem in found.found}
    kept = (checked.basis, checked.untimed, checked.of_hours, checked.of_others)
    sound = faulty.replace("hours: 1\n", "hours: 3\n").replace("3 EUR", "4 EUR")
    after = read_journal(write_journal(tmp_path / "b", {"entries/2024-03-09-a.md": sound})).journal
    with pytest.raises(OSError, match="cannot be read"):
        checked.figures_of(after, Failing(), ON, Problems())
    assert (checked.basis, checked.untimed, checked.of_hours, checked.of_others) == kept
