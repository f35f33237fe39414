"""The verbs, as a person and a script meet them: real journals, exit status, both streams."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from journalgen.columns import width
from journalgen.command import main
from tests.journals import write_journal

FILES = {
    "register/parts.yaml": """
        front wheel: {assembly: running gear, also called: [wheel], stored: shelf B}
        axle: {assembly: running gear}
        lamp:
        """,
    "entries/2024-03-09-etch.md": """
        ---
        hours: 2:30
        parts: [front wheel, lamp]
        work:
          - {part: front wheel, step: degrease, hours: 1:30, material: zinc primer, amount: 250 mL}
        bought:
          - {material: zinc primer, amount: 1 L, count: 2, price: 31.90}
          - {part: [front wheel, axle], price: 10.01, ordered: 2024-02-01}
          - {part: lamp, price: 10 XPF}
        ---
        """,
    "entries/2024-04-01-fit.md": """
        ---
        hours: 1
        work:
          - {part: axle, step: fit}
        ---
        """,
}
BROKEN = {"entries/2024-05-01-bad.md": "---\nhours: 2h75\nparts: axle\n---\n"}


def run(*args: object) -> Result:
    return CliRunner().invoke(main, [str(arg) for arg in args], catch_exceptions=False)


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return write_journal(tmp_path / "trolley", FILES)


def totals(journal: Path, *options: str) -> dict[str, Any]:
    result = run("totals", journal, "--json", *options)
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_totals_json_keeps_its_shape_to_the_letter(journal: Path) -> None:
    result = run("totals", journal, "--json", "--on", "2024-09-30")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == {
        "format": "journalgen-totals/1",
        "journal": {"title": "Test trolley", "home_currency": "GBP", "on": "2024-09-30"},
        "sessions": {"count": 2, "first": "2024-03-09", "last": "2024-04-01"},
        "hours": {
            "minutes": 210,
            "by_part": {"front wheel": 90, "lamp": 60, "axle": 60},
            "by_assembly": {"running gear": 150, "(none)": 60},
            "by_step": {"degrease": 90, "(unspecified)": 60, "fit": 60},
            "by_month": {"2024-03": 150, "2024-04": 60},
        },
        "money": {
            "total": "73.81",
            "by_kind": {"material": "63.80", "part": "10.01"},
            "by_part": {"(general)": "63.80", "front wheel": "5.01", "axle": "5.00", "lamp": "0.00"},
            "by_currency": {"GBP": "73.81", "XPF": "10"},
            "by_month": {"2024-02": "10.01", "2024-03": "63.80"},
            "not_converted": {"XPF": "10"},
            "consumed_by_part": {"front wheel": "7.98"},
        },
        "materials": {
            "zinc primer": {
                "unit": "L", "bought": "2", "used": "0.25", "left": "1.75",
                "cost_bought": "63.80", "cost_used": "7.98", "estimated": False,
            }
        },
        "problems": {"errors": 0, "warnings": 1},
    }  # fmt: skip


def test_sessions_after_the_day_asked_for_do_not_count(journal: Path) -> None:
    assert totals(journal, "--on", "2024-03-31")["sessions"]["count"] == 1
    assert totals(journal, "--on", "2024-03-08")["sessions"] == {"count": 0, "first": None, "last": None}


def test_since_and_until_choose_sessions_by_date_and_money_by_the_day_paid(journal: Path) -> None:
    march = totals(journal, "--on", "2024-09-30", "--since", "2024-03-01", "--until", "2024-03-31")
    assert (march["hours"]["minutes"], march["money"]["total"]) == (150, "63.80")
    february = totals(journal, "--on", "2024-09-30", "--until", "2024-02-29")
    assert (february["hours"]["minutes"], february["money"]["total"]) == (0, "10.01")
    assert february["materials"] == {}
    april = totals(journal, "--on", "2024-09-30", "--since", "2024-04-01")
    assert april["materials"]["zinc primer"]["left"] == "1.75"  # stock is always as at the end


def test_a_part_is_found_by_any_of_its_names_and_has_its_shares(journal: Path) -> None:
    wheel = totals(journal, "--part", "WHEEL", "--on", "2024-09-30")
    assert wheel["hours"]["by_part"] == {"front wheel": 90}
    assert wheel["money"]["total"] == "5.01"
    assert wheel["money"]["by_currency"] == {"GBP": "5.01"}
    assert wheel["materials"]["zinc primer"]["used"] == "0.25"
    assert totals(journal, "--part", "lamp", "--on", "2024-09-30")["money"]["not_converted"] == {"XPF": "10"}
    result = run("totals", journal, "--part", "weel")
    assert result.exit_code == 2
    assert "Did you mean" in result.stderr


def test_totals_count_what_is_readable_and_exit_1_if_there_are_errors(journal: Path) -> None:
    write_journal(journal, BROKEN)
    result = run("totals", journal, "--json", "--on", "2024-09-30")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert (found["hours"]["minutes"], found["problems"]["errors"]) == (210, 1)
    assert "journalgen inspect" in result.stderr


def test_totals_for_people_fit_80_columns_and_agree_with_the_json(journal: Path) -> None:
    result = run("totals", journal, "--on", "2024-09-30")
    assert result.exit_code == 0
    assert max(len(line) for line in result.stdout.splitlines()) <= 80
    for figure in ("3:30", "73.81", "1.75", "10 XPF"):
        assert figure in result.stdout


def test_totals_of_a_span_say_that_stock_is_that_of_the_whole(journal: Path) -> None:
    assert "whatever --since says" not in run("totals", journal, "--on", "2024-09-30").stdout
    since = run("totals", journal, "--on", "2024-09-30", "--since", "2024-03-01").stdout
    assert "up to 2024-09-30, whatever --since says" in since


def test_the_csv_files_add_up_to_the_totals(journal: Path, tmp_path: Path) -> None:
    result = run("totals", journal, "--csv", tmp_path / "out", "--on", "2024-09-30")
    assert result.exit_code == 0
    written = [Path(line) for line in result.stdout.splitlines()]
    assert [path.name for path in written] == ["hours.csv", "purchases.csv", "stock.csv", "measures.csv", "steps.csv"]
    with (tmp_path / "out" / "hours.csv").open(newline="") as file:
        assert sum(int(row["minutes"]) for row in csv.DictReader(file)) == 210


def test_inspect_json_has_place_severity_rule_message_and_remedy(journal: Path) -> None:
    write_journal(journal, BROKEN)
    result = run("inspect", journal, "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert found["format"] == "journalgen-problems/1"
    assert {tuple(problem) for problem in found["problems"]} == {
        ("file", "line", "column", "severity", "rule", "message", "remedy")
    }
    errors = [problem for problem in found["problems"] if problem["severity"] == "error"]
    assert [(p["file"], p["line"], p["column"], p["rule"]) for p in errors] == [
        ("entries/2024-05-01-bad.md", 2, 8, "hours")
    ]


def test_inspect_for_people_groups_by_file_and_is_plain_where_nobody_looks(journal: Path) -> None:
    result = run("inspect", journal)
    assert result.exit_code == 0
    assert "\x1b" not in result.stdout
    assert result.stdout.startswith("entries/2024-03-09-etch.md\n")
    assert "0 errors, 1 warning in 2 sessions." in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 80


def test_an_entry_of_a_day_to_come_is_pointed_out_and_does_not_count(journal: Path) -> None:
    write_journal(journal, {"entries/x.md": f"---\ndate: {date.today().year + 2}-01-01\nhours: 9\n---\n"})  # noqa: DTZ011
    found = totals(journal)
    assert (found["hours"]["minutes"], found["problems"]["warnings"]) == (210, 2)
    assert "day-to-come" in run("inspect", journal).stdout


@pytest.mark.parametrize("verb", ["inspect", "assemble", "totals", "session"])
def test_outside_a_journal_every_verb_says_how_to_begin(verb: str, tmp_path: Path) -> None:
    result = run(verb, tmp_path)
    assert result.exit_code == 2
    assert "journalgen begin" in result.stderr


@pytest.mark.parametrize(
    "args",
    [
        ["totals", "--since", "2025-01-02", "--until", "2025-01-01"],
        ["totals", "--on", "yesterday"],
        ["totals", "--since", "2024-02-30"],
        ["assemble", "--edition", "secret"],
        ["frobnicate"],
        ["assemble", "--theme", "neon"],
        ["begin", "x", "--currency", "QQQ"],
        ["begin", "x", "--time-zone", "Mars/North"],
        ["session", "--hours", "2h75"],
        ["session", "--start", "25:00"],
        ["session", "--work", "part: [axle"],
        ["session", "--work", "steb: etch"],
        ["session", "--materials", "primer 1,5 L"],
        ["session", "--photos", "../secret.jpg"],
        ["begin", "x", "--units", "cubits"],
        ["begin", "x", "--language", "tlh"],
        ["begin", "x", "--hide", "price"],
    ],
)
def test_wrong_usage_is_exit_status_2_and_no_traceback(
    args: list[str], journal: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(journal)
    result = run(*args)
    assert result.exit_code == 2
    assert result.stderr
    assert not (journal / "x").exists()


def test_begin_then_inspect_then_session_then_totals(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    assert run("begin", folder, "--title", "New", "--currency", "GBP", "--time-zone", "Europe/London").exit_code == 0
    assert run("inspect", folder).exit_code == 0
    result = run(
        "session",
        folder,
        "--title",
        "Wheel off",
        "--parts",
        "Wheel, mudguard",
        "--hours",
        "2:30",
        "--date",
        "2024-03-09",
    )
    assert result.exit_code == 0
    assert '"mudguard" is not a known part' in result.stderr
    entry = Path(result.stdout.strip()).read_text()
    assert "parts: [front wheel, mudguard]" in entry
    found = totals(folder)
    assert found["hours"]["minutes"] == 90 + 150
    assert run("begin", folder).exit_code == 1


def test_control_characters_of_a_journal_do_not_reach_the_terminal(journal: Path) -> None:
    write_journal(journal, {"entries/2024-06-01-x.md": '---\nparts: ["a\\e[31mb"]\nhours: 1\n---\n'})
    for verb in ("inspect", "totals"):
        assert "\x1b" not in run(verb, journal).stdout


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; sys.argv = ['journalgen', '--help']\n"
        "from journalgen.command import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "heavy = {'pint', 'PIL', 'jinja2', 'babel', 'yaml', 'markdown_it', 'rich', 'watchdog'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
    assert "assemble" in done.stdout


def test_every_verb_has_an_example_in_its_help() -> None:
    for verb in main.commands:
        result = run(verb, "--help")
        assert result.exit_code == 0
        assert "Example: journalgen" in result.stdout


def test_every_verb_is_told_whole_in_one_line_of_the_help() -> None:
    for verb in [[], *([verb] for verb in main.commands)]:
        assert max(map(len, run(*verb, "--help").stdout.splitlines())) <= 80
    listed = run("--help").stdout.partition("Commands:")[2]
    assert "..." not in listed


def test_no_colour_stands_before_the_verb_or_behind_it(journal: Path) -> None:
    ruled = run("totals", journal).stdout
    before, behind = run("--no-colour", "totals", journal).stdout, run("totals", "--no-colour", journal).stdout
    assert before == behind
    assert "\n---" in ruled
    assert before == "".join(line for line in ruled.splitlines(keepends=True) if not line.startswith("---"))


def test_ready_fits_80_columns_whatever_names_are_like(journal: Path) -> None:
    long = "a name that someone made of all that there was to say about this piece of the machine"
    write_journal(journal, {"register/parts.yaml": f"""
        {long}: {{route: painted steel}}
        {long} too: {{route: painted steel, decision: replace}}
        {"車輪" * 25}: {{route: painted steel}}
        """})  # fmt: skip
    result = run("ready", journal, "--on", "2024-09-30")
    assert result.exit_code == 0
    assert max(map(width, result.stdout.splitlines())) <= 80
    assert "piece of" in result.stdout


def test_a_pipe_that_has_no_letter_for_a_name_gets_it_all_the_same(journal: Path) -> None:
    write_journal(journal, {"entries/2024-04-02.md": "---\nhours: 1\nparts: 車輪\n---\n"})
    done = subprocess.run(
        [sys.executable, "-m", "journalgen", "totals", str(journal), "--json"],
        capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "PYTHONIOENCODING": "ascii"},
    )  # fmt: skip
    assert json.loads(done.stdout)["hours"]["by_part"]["車輪"] == 60


def test_settings_may_be_nearly_empty(tmp_path: Path) -> None:
    root = write_journal(tmp_path / "bare", {"entries/2024-01-01.md": "---\nhours: 1\n---\n"}, "")
    assert totals(root)["hours"]["minutes"] == 60


def test_tables_begin_with_a_byte_order_mark_where_it_is_asked_for(tmp_path: Path) -> None:
    journal = write_journal(tmp_path / "journal", {"entries/2024-03-09-a.md": "---\nhours: 1\nparts: Größe\n---\n"})
    for options, start in (([], b"date,"), (["--bom"], b"\xef\xbb\xbfdate,")):
        done = CliRunner().invoke(main, ["totals", str(journal), "--csv", str(tmp_path / "csv"), *options])
        assert done.exit_code == 0
        assert (tmp_path / "csv" / "hours.csv").read_bytes().startswith(start)
    text = (tmp_path / "csv" / "hours.csv").read_text(encoding="utf-8-sig")
    assert "Größe" in text
    assert CliRunner().invoke(main, ["totals", str(journal), "--bom"]).exit_code == 2


def test_a_misspelt_verb_is_answered_with_the_nearest() -> None:
    result = run("asemble")
    assert result.exit_code == 2
    assert "'assemble'" in result.stderr
