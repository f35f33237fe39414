"""`session` by options: what it writes inspects clean, or nothing is written."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, tzinfo
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from journalgen.beginning import yaml_flow
from journalgen.command import main
from journalgen.reading.journal import read_journal
from journalgen.records import Session
from tests.intake.camera import intake, photograph
from tests.journals import write_journal

PARTS = ("front wheel", "axle, left", "bolt: M8 #2", "車輪", "O'Ring", "yes", "12")
STEPS = ("inspect", "clean", "measure", "look at: twice", "straighten")
MATERIALS = {"degreaser": "mL", "320 grit paper": "sheets", "M8 nut, zinc": "nuts"}
PHOTOS = ("2024-03-09-a.jpg", "2024/2024-03-09/b, c.jpg", "plain.jpg", "other: day.jpg")


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Path:
    bought = "".join(
        f"  - {{material: {json.dumps(name)}, amount: 100000 {unit}, price: 10}}\n" for name, unit in MATERIALS.items()
    )
    root = write_journal(
        tmp_path_factory.mktemp("model") / "trolley",
        {
            "register/parts.yaml": "".join(f"{json.dumps(name)}:\n" for name in PARTS),
            "register/materials.yaml": "".join(f"{json.dumps(name)}:\n" for name in MATERIALS),
            "entries/2024-01-01-shopping.md": f"---\nhours: 1\nparts: front wheel\nbought:\n{bought}---\n",
        },
    )
    out = BytesIO()
    Image.new("RGB", (8, 6), "red").save(out, "JPEG")
    for file in PHOTOS:
        path = root / "photos" / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(out.getvalue())
    return root


@contextmanager
def copy_of(model: Path) -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "trolley"
        shutil.copytree(model, root)
        yield root


def run(*args: object, text: bytes | None = None) -> Result:
    return CliRunner().invoke(main, [str(arg) for arg in args], catch_exceptions=False, input=text)


def problems(root: Path) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(run("inspect", root, "--json").stdout)["problems"]
    return found


def files(root: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}


def written(root: Path, result: Result) -> Session:
    path = Path(result.stdout.removesuffix("\n"))
    sessions = read_journal(root).journal.sessions
    (session,) = [s for s in sessions if root / s.place.file == path]
    return session


TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=60)
TITLES = TEXT.filter(lambda text: text.strip() != "")
HOURS = st.sampled_from(["2.5", "2:30", "2 h 30 min", "150 min", "24", " 3 ", "12:00"])
WORK = st.builds(
    lambda part, step, hours, note: yaml_flow(
        {"part": [part], "step": step} | ({"hours": hours} if hours else {}) | ({"note": note} if note.strip() else {})
    ),
    st.sampled_from(PARTS), st.sampled_from(STEPS), st.sampled_from([None, "0:20", "10 min"]), TEXT,
)  # fmt: skip
USES = st.builds(
    lambda name, amount: f"{name} {amount} {MATERIALS[name]}",
    st.sampled_from(["degreaser", "320 grit paper"]), st.integers(1, 50),
)  # fmt: skip


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    title=st.none() | TITLES,
    parts=st.lists(st.sampled_from([name for name in PARTS if "," not in name]), max_size=3, unique=True),
    hours=st.none() | HOURS,
    day=st.none() | st.sampled_from(["2024-03-09", "2024-01-01", "2024-02-29"]),
    start=st.none() | st.sampled_from(["19:15", "7.05", "0:00"]),
    work=st.lists(WORK, max_size=3),
    uses=st.lists(USES, max_size=2),
    photos=st.lists(st.sampled_from(PHOTOS), max_size=3, unique=True),
    text=st.none() | TEXT,
)
def test_any_options_with_names_that_are_known_make_an_entry_that_inspects_clean_and_says_the_same(
    model: Path,
    title: str | None,
    parts: list[str],
    hours: str | None,
    day: str | None,
    start: str | None,
    work: list[str],
    uses: list[str],
    photos: list[str],
    text: str | None,
) -> None:
    named = {
        "--title": title,
        "--hours": hours,
        "--date": day,
        "--start": start,
        "--text": text if text != "-" else None,
    }
    options = [f"{name}={value}" for name, value in named.items() if value is not None]
    options += [f"--parts={', '.join(parts)}"] if parts else []
    options += [f"--work={line}" for line in work] + [f"--photos={file}" for file in photos]
    options += [f"--materials={', '.join(uses)}"] if uses else []
    with copy_of(model) as root:
        result = run("session", root, *options)
        assert result.exit_code == 0, result.stderr
        assert problems(root) == []
        session = written(root, result)
        assert len(session.work) == len(work)
        assert len(session.uses) == len(uses)
        assert set(parts) <= set(session.parts)
        assert [photo.file for photo in session.photos] == photos
        if title is not None:
            assert session.title.startswith(" ".join(title.split())[:200])
        if hours is not None:
            assert session.minutes in (150, 180, 720, 1440)
        if day is not None:
            assert str(session.day) == day
        if text is not None:
            assert session.body.rstrip("\n") == text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n")


ANY = st.one_of(
    TEXT,
    st.sampled_from([
        "{", "part: wheel", "{part: wheel}", "part: [", "private: yes", "step: etch, amount: 5 mL", "privat: yes",
        "25:00", "-1", "2024-02-30", "degreaser 1,5 mL", "degreaser", "degreaser 3 sheets", "degreaser 900 L",
        "../x.jpg", "all",
        "hours: 30", "a: &x 1, b: *x", "!!python/name:os.system", "[x](part:nowhere)", "![](nowhere.jpg)", "---",
    ]),
)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.dictionaries(
        st.sampled_from(["title", "parts", "hours", "date", "start", "work", "materials", "photos", "text"]), ANY
    )
)
def test_whatever_the_options_hold_either_nothing_is_written_or_no_error_comes_and_every_warning_was_told(
    model: Path, given_options: dict[str, str]
) -> None:
    options = [f"--{name}={value}" for name, value in given_options.items() if (name, value) != ("text", "-")]
    with copy_of(model) as root:
        before = files(root)
        result = run("session", root, *options)
        assert "Traceback" not in result.output
        after = files(root)
        assert before.items() <= after.items()
        if result.exit_code == 0:
            assert len(after) == len(before) + 1
            found = problems(root)
            assert not [problem for problem in found if problem["severity"] == "error"]
            told = Counter(line.split(", ")[-1] for line in result.stderr.splitlines() if " warning, " in line)
            assert told == Counter(problem["rule"] for problem in found)
        else:
            assert result.exit_code == 2
            assert after == before
            assert result.stderr


def test_a_second_session_of_a_day_and_title_gets_a_title_of_its_own(model: Path) -> None:
    with copy_of(model) as root:
        titles = []
        for _ in range(3):
            result = run("session", root, "--title", "Etch", "--date", "2024-03-09", "--hours", "1")
            assert result.exit_code == 0
            titles.append(written(root, result).title)
        assert titles == ["Etch", "Etch 2", "Etch 3"]
        assert problems(root) == []


def test_names_have_the_registers_spelling_whatever_was_typed(model: Path) -> None:
    with copy_of(model) as root:
        result = run(
            "session", root, "--parts", "FRONT-WHEEL, o'ring", "--materials", "Degreaser 5 mL",
            "--work", "part: frontwheel, step: Inspect", "--date", "2024-03-09",
        )  # fmt: skip
        session = written(root, result)
        assert session.parts == ("front wheel", "O'Ring")
        assert session.uses[0].material == "degreaser"
        assert "part: front wheel, step: inspect}" in (root / session.place.file).read_text("utf-8")


def test_one_part_has_the_photographs_and_several_leave_them_open(model: Path) -> None:
    with copy_of(model) as root:
        one = written(root, run("session", root, "--parts", "yes", "--photos", "plain.jpg", "--date", "2024-03-09"))
        assert one.photos[0].parts == ("yes",)
        two = written(root, run("session", root, "--parts", "yes, 12", "--photos", "other: day.jpg", "--title", "x"))
        assert two.photos[0].parts == ()


def test_all_photographs_are_those_of_the_day_that_no_entry_names(model: Path) -> None:
    with copy_of(model) as root:
        first = written(
            root, run("session", root, "--photos", "2024-03-09-a.jpg", "--date", "2024-03-09", "--title", "a")
        )
        assert [photo.file for photo in first.photos] == ["2024-03-09-a.jpg"]
        second = written(root, run("session", root, "--photos", "all", "--date", "2024-03-09", "--title", "b"))
        assert [photo.file for photo in second.photos] == ["2024/2024-03-09/b, c.jpg"]


def test_a_chosen_photograph_that_is_damaged_is_told_of(model: Path) -> None:
    with copy_of(model) as root:
        photo = root / "photos" / "plain.jpg"
        whole = photo.read_bytes()
        photo.unlink()  # it is shared with the model
        photo.write_bytes(whole[:300])
        told = [run("session", root, "--photos", file, "--another").stderr for file in ("plain.jpg", "other: day.jpg")]
        assert [f"{photo} cannot be shown: " in text for text in told] == [True, False]


def test_the_text_may_come_from_standard_input(model: Path) -> None:
    with copy_of(model) as root:
        session = written(root, run("session", root, "--text", "-", "--title", "x", text="Ein **Räd**.\r\n".encode()))
        assert session.body == "Ein **Räd**.\n"
        refused = run("session", root, "--text", "-", text=b"\xff\xfe")
        assert refused.exit_code == 2
        assert "not UTF-8" in refused.stderr


def test_hours_below_those_of_the_lines_are_refused_with_both_figures(model: Path) -> None:
    with copy_of(model) as root:
        before = files(root)
        result = run(
            "session", root, "--hours", "1", "--work", "part: yes, hours: 0:45", "--work", "part: 12, hours: 45 min"
        )
        assert (result.exit_code, files(root)) == (2, before)
        assert "1:30" in result.stderr


def test_a_use_in_a_unit_that_the_stock_does_not_know_is_refused(model: Path) -> None:
    with copy_of(model) as root:
        before = files(root)
        result = run("session", root, "--materials", "degreaser 2 sheets")
        assert (result.exit_code, files(root)) == (2, before)
        assert "kept in mL" in result.stderr
        assert "Nothing was written." in result.stderr


def test_without_options_nothing_is_made_up_and_all_waits_to_be_filled_in(model: Path) -> None:
    with copy_of(model) as root:
        result = run("session", root)
        session = written(root, result)
        assert session.start is None
        text = (root / session.place.file).read_text("utf-8")
        assert all(f"# {key}:" in text for key in ("parts", "hours", "work", "materials", "photos"))
        assert problems(root) == []


def test_an_editor_that_is_not_there_costs_nothing(model: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EDITOR", "no-such-editor-anywhere")
    monkeypatch.delenv("VISUAL", raising=False)
    with copy_of(model) as root:
        result = run("session", root, "--title", "x", "--date", "2024-03-09", "--edit")
        assert result.exit_code == 1
        assert "was written" in result.stderr
        assert (root / "entries" / "2024" / "2024-03-09-x.md").is_file()


def test_what_a_person_may_not_expect_is_said(model: Path) -> None:
    with copy_of(model) as root:
        words = ["session", str(root), "--date", "2024-01-01", "--title", "Shelves", "--hours", "1"]
        ran = CliRunner().invoke(main, words)
        assert ran.exit_code == 0
        assert "That day has an entry already, entries/2024-01-01-shopping.md; this is another." in ran.stderr
        again = CliRunner().invoke(main, words)
        assert 'already; this one is called "Shelves 2".' in again.stderr


def day_with_photographs(root: Path, *more: str) -> Path:
    """Has `intake` open an entry with one photograph, and gives its path."""
    photograph(root.parent / "card" / "new.jpg", "2024:05:04 18:00:00")
    intake(root, root.parent / "card", *more)
    return root / "entries" / "2024" / "2024-05-04.md"


def test_a_session_fills_in_the_entry_that_holds_the_photographs_of_its_day(model: Path) -> None:
    with copy_of(model) as root:
        entry = day_with_photographs(root)
        line = next(line for line in entry.read_text("utf-8").splitlines() if "new.jpg" in line or "file:" in line)
        before = set(root.rglob("*.md"))
        ran = run(
            "session", root, "--date", "2024-05-04", "--parts", "axle, left", "--hours", "1:30", "--title", "Pins",
            "--work", "part: yes, step: clean", "--text", "All *well*.",
        )  # fmt: skip
        session = written(root, ran)
        assert set(root.rglob("*.md")) == before
        assert ran.stderr == (
            "This fills in entries/2024/2024-05-04.md, which holds the photographs of the day. "
            "For another entry: --another\n"
        )  # no problem, as there would be if its photographs counted twice
        assert (session.minutes, session.title, session.body) == (90, "Pins", "All *well*.\n")
        assert line in entry.read_text("utf-8").splitlines()  # several parts: it is not told which is seen
        assert problems(root) == []
        again = run("session", root, "--date", "2024-05-04", "--hours", "1")
        assert written(root, again).minutes == 60
        assert len(set(root.rglob("*.md"))) == len(before) + 1  # what is filled in waits no more


def test_the_photographs_of_a_session_on_one_part_are_of_it_but_for_lines_that_a_person_wrote(model: Path) -> None:
    with copy_of(model) as root:
        entry = day_with_photographs(root)
        Image.new("RGB", (8, 6), "green").save(root / "photos" / "2024-05-04 b.jpg")
        own = "  - {file: '2024-05-04 b.jpg',  caption: the hub}  # look again"
        entry.write_text(entry.read_text("utf-8").replace("photos:\n", f"photos:\n{own}\n"), "utf-8")
        session = written(root, run("session", root, "--date", "2024-05-04", "--parts", "12", "--hours", "1"))
        assert {photo.file: photo.parts for photo in session.photos}["2024-05-04 b.jpg"] == ()
        assert [photo.parts for photo in session.photos if photo.file != "2024-05-04 b.jpg"] == [("12",)]
        assert own in entry.read_text("utf-8").splitlines()


@pytest.mark.parametrize("change", ["a word", "a comment", "crlf", "another"])
def test_an_entry_that_a_person_wrote_in_is_left_and_another_written(model: Path, change: str) -> None:
    with copy_of(model) as root:
        entry = day_with_photographs(root, "--part", "12")
        text = entry.read_text("utf-8")
        if change == "crlf":
            entry.write_bytes(text.replace("\n", "\r\n").encode())
        elif change == "a word":
            entry.write_text(f"{text}Seen.\n", "utf-8")
        elif change == "a comment":
            entry.write_text(text.replace("# hours", "# my hours"), "utf-8")
        before = entry.read_bytes()
        more = ["--another"] if change == "another" else []
        ran = run("session", root, "--date", "2024-05-04", "--hours", "1", *more)
        assert entry.read_bytes() == before
        assert Path(ran.stdout.strip()) != entry
        assert "That day has an entry already" in ran.stderr


def test_past_midnight_it_is_the_evening_before(model: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    zone = read_journal(model).journal.settings.time_zone
    night = datetime(2024, 3, 10, 1, 37, tzinfo=zone)

    class Clock(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:
            return night.astimezone(tz)

    monkeypatch.setattr("journalgen.verbs.entries.datetime", Clock)
    with copy_of(model) as root:
        ran = CliRunner().invoke(main, ["session", str(root), "--title", "Late"])
        assert ran.exit_code == 0, ran.stderr
        assert "It is 01:37: this is the session of the evening before, 2024-03-09." in ran.stderr
        text = Path(ran.stdout.strip()).read_text(encoding="utf-8")
        assert "date: 2024-03-09\n" in text
        assert "\nstart:" not in text
