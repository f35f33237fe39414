"""What the commands say while they work: to people at a terminal, and to a file that is read afterwards."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.columns import width
from journalgen.pointing import Sources
from journalgen.problems import Problem
from journalgen.terminal import problem_lines, safe, spell_size, table_lines
from journalgen.values import Place
from tests.journals import write_journal

HOUSE = Path(__file__).parents[1]
needs_pty = pytest.mark.skipif(sys.platform == "win32", reason="terminals are made so by POSIX alone")
SCRIPT = """
import time
from journalgen.terminal import progress_bar
with progress_bar("pictures") as progress:
    for done in range(1, 21):
        time.sleep(0.1)
        progress(done, 200)
"""
PLAINLY = """
import click
from journalgen import terminal
from journalgen.terminal import progress_bar, refuse_colour
terminal._BETWEEN = 0.5
@click.command()
def main():
    refuse_colour()
    exec(work)
work = SCRIPT
main()
"""
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(HOUSE), "TERM": "xterm", "COLUMNS": "100"}


@needs_pty
def test_a_terminal_is_told_how_many_are_done_and_the_time_left() -> None:
    shown = shown_at_terminal(SCRIPT)
    assert re.search(r"pictures .*\d+/200", shown)
    assert re.search(r"0:00:\d\d", shown)


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, "0 bytes"),
        (1, "1 byte"),
        (999, "999 bytes"),
        (1_200, "1.2 kB"),
        (31_203_058, "31.2 MB"),
        (34 * 10**8, "3.4 GB"),
    ],
)
def test_sizes_are_said_as_a_person_counts_them(count: int, said: str) -> None:
    assert spell_size(count) == said


def read(end: int) -> bytes:
    try:
        return os.read(end, 4096)
    except OSError:  # so Linux says that the other end was closed
        return b""


def shown_at_terminal(script: str) -> str:
    """What a program writes to a terminal, which it takes for its own."""
    import pty

    ours, theirs = pty.openpty()
    with subprocess.Popen([sys.executable, "-c", script], env=ENVIRONMENT, stdout=theirs, stderr=theirs) as process:
        os.close(theirs)
        said = b""
        while chunk := read(ours):
            said += chunk
    os.close(ours)
    assert process.returncode == 0
    return said.decode()


def test_a_pipe_is_told_nothing() -> None:
    done = subprocess.run([sys.executable, "-c", SCRIPT], env=ENVIRONMENT, capture_output=True, check=True)
    assert (done.stdout, done.stderr) == (b"", b"")


@needs_pty
def test_where_no_colour_is_wanted_a_terminal_is_told_by_a_line_now_and_then() -> None:
    lines = shown_at_terminal(PLAINLY.replace("SCRIPT", repr(SCRIPT))).split("\r\n")
    assert lines.pop() == ""
    assert 1 <= len(lines) <= 5
    assert all(re.fullmatch(r"pictures: \d+ of 200, \d+ s left", line) for line in lines)


@needs_pty
@pytest.mark.parametrize("plainly", [False, True])
def test_what_is_sent_is_told_in_bytes_with_the_time_left(plainly: bool) -> None:
    script = SCRIPT.replace('"pictures"', '"pictures", octets=True')
    script = script.replace("done, 200", "done * 1_000_000, 200_000_000")
    shown = shown_at_terminal(PLAINLY.replace("SCRIPT", repr(script)) if plainly else script)
    form = r"pictures: \d+\.0 MB of 200\.0 MB, \d+ s left\r" if plainly else r"\d+\.\d/200\.0 MB.*0:00:\d\d"
    assert re.search(form, shown), shown


def test_a_table_wraps_texts_that_are_too_wide_and_cuts_no_figure() -> None:
    rows = [["front wheel", "1:00"], ["very " * 30, "100:00"], ["車輪" * 30, "0:05"]]
    lines = list(table_lines(["Part", "h:mm"], rows, ["Together", "101:05"]))
    assert lines[0] == f"Part{' ' * 72}h:mm"
    assert lines[1] == "-" * 80
    assert lines[2] == f"front wheel{' ' * 65}1:00"
    assert max(map(width, lines)) == 80
    assert sum(line.count("very") for line in lines) == 30
    assert sum(line.count("車") for line in lines) == 30
    assert lines[-1].split() == ["Together", "101:05"]


CELLS = st.text(st.one_of(st.sampled_from("ab 車é\u0301\t\n"), st.characters(exclude_categories=["Cs"])), max_size=120)
FIGURES = st.integers(0, 10**12).map(str)


@given(st.lists(st.tuples(CELLS, CELLS, FIGURES, FIGURES), min_size=1, max_size=6))
def test_any_table_fits_80_columns_and_keeps_every_figure(rows: list[tuple[str, str, str, str]]) -> None:
    lines = list(table_lines(["Part", "step", "a", "b"], rows, texts=2))
    assert all(width(line) <= 80 for line in lines)
    assert all(safe(line) == line for line in lines)
    told = " ".join(lines)
    assert all(figure in told for row in rows for figure in row[2:])


def test_without_colour_a_table_has_no_drawn_lines() -> None:
    @click.command()
    def command() -> None:
        click.get_current_context().color = False
        assert not any(
            line.startswith("--") for line in table_lines(["Part", "h:mm"], [["axle", "1:00"]], ["All", "1:00"])
        )

    command.main([], standalone_mode=False)


def problem(line: int, column: int, message: str = "Not so.", rule: str = "hours") -> Problem:
    return Problem(Place("entries/a.md", line, column), "error", rule, message, "Write 2:30.")


def test_problems_show_their_line_with_a_mark_under_the_place(tmp_path: Path) -> None:
    root = write_journal(tmp_path, {"entries/a.md": "---\nhours: 2h75\n---\n"})
    lines = problem_lines([problem(2, 8)], Sources(root))
    assert [click.unstyle(line) for line in lines] == [
        "entries/a.md",
        "  2:8 error, hours",
        "        hours: 2h75",
        "               ^",
        "      Not so.",
        "      Remedy: Write 2:30.",
        "",
    ]


def test_a_place_is_shown_once_for_all_that_is_wrong_there(tmp_path: Path) -> None:
    root = write_journal(tmp_path, {"entries/a.md": "---\nhours: 2h75\n---\n"})
    found = [problem(2, 8), problem(2, 8, "Nor so."), problem(2, 1)]
    assert sum("hours: 2h75" in line for line in problem_lines(found, Sources(root))) == 2


def test_a_problem_of_a_file_that_cannot_be_read_again_is_told_without_its_line(tmp_path: Path) -> None:
    lines = [click.unstyle(line) for line in problem_lines([problem(2, 8)], Sources(tmp_path))]
    assert lines[1:4] == ["  2:8 error, hours", "      Not so.", "      Remedy: Write 2:30."]


@given(st.text(max_size=200))
def test_no_message_drives_the_terminal_or_stands_out_over_80_columns(text: str) -> None:
    for line in problem_lines([problem(1, 1, text)]):
        shown = click.unstyle(line)
        assert width(shown) <= 80
        assert "\x1b" not in shown
        assert safe(shown) == shown
