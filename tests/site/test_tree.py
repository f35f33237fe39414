"""A site is written whole or not at all."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from journalgen.site import swapping
from journalgen.site.manifest import MANIFEST, OutputFault
from journalgen.site.tree import write_tree

PAGES = [("index.html", b"one"), ("parts/axle.html", b"two")]


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != MANIFEST
    }


def only_the_site_is_left(folder: Path) -> bool:
    return {path.name for path in folder.iterdir()} <= {
        "public",
        ".public.lock",
        "x.jpg",
    }


def test_a_tree_holds_the_pages_the_pictures_and_a_manifest(tmp_path: Path) -> None:
    (tmp_path / "x.jpg").write_bytes(b"picture")
    write_tree(tmp_path / "public", PAGES, {"pictures/x.jpg": tmp_path / "x.jpg"})
    assert contents(tmp_path / "public") == dict(PAGES) | {"pictures/x.jpg": b"picture"}
    manifest = json.loads((tmp_path / "public" / MANIFEST).read_text())
    assert manifest["files"] == ["index.html", "parts/axle.html", "pictures/x.jpg"]
    assert only_the_site_is_left(tmp_path)


def test_pages_that_are_no_more_go_and_files_of_others_stay(tmp_path: Path) -> None:
    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    (site / "mine").mkdir()
    (site / "mine" / "notes.txt").write_text("keep me")
    write_tree(site, PAGES[:1], {})
    assert contents(site) == {"index.html": b"one", "mine/notes.txt": b"keep me"}


@pytest.mark.parametrize("exchange", [True, False])
def test_both_ways_of_swapping_put_the_new_tree_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exchange: bool
) -> None:
    if not exchange:
        monkeypatch.setattr(swapping, "exchange", lambda one, other: False)
    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    write_tree(site, [("index.html", b"new")], {})
    assert contents(site) == {"index.html": b"new"}
    assert only_the_site_is_left(tmp_path)


def test_a_failure_while_rendering_leaves_the_previous_site(tmp_path: Path) -> None:
    def fails() -> Iterator[tuple[str, bytes]]:
        yield "index.html", b"half"
        raise RuntimeError("broken")

    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    with pytest.raises(RuntimeError):
        write_tree(site, fails(), {})
    assert contents(site) == dict(PAGES)
    assert only_the_site_is_left(tmp_path)


def test_a_folder_that_is_not_ours_is_not_touched(tmp_path: Path) -> None:
    site = tmp_path / "public"
    site.mkdir()
    (site / "thesis.doc").write_text("x")
    with pytest.raises(OutputFault, match="did not write"):
        write_tree(site, PAGES, {})
    assert contents(site) == {"thesis.doc": b"x"}


def test_a_damaged_manifest_is_said_and_nothing_is_deleted(tmp_path: Path) -> None:
    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    (site / MANIFEST).write_text("{")
    with pytest.raises(OutputFault, match="damaged"):
        write_tree(site, PAGES[:1], {})
    assert contents(site) == dict(PAGES)


def test_a_missing_picture_is_an_output_fault_and_the_old_site_stands(tmp_path: Path) -> None:
    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    with pytest.raises(OutputFault, match="previous site"):
        write_tree(site, PAGES, {"pictures/x.jpg": tmp_path / "gone.jpg"})
    assert contents(site) == dict(PAGES)


def test_a_run_killed_between_the_two_steps_of_a_swap_is_mended(tmp_path: Path) -> None:
    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    site.rename(tmp_path / ".public.old")
    (tmp_path / ".public.new-rest").mkdir()
    write_tree(site, [("index.html", b"new")], {})
    assert contents(site) == {"index.html": b"new"}
    assert only_the_site_is_left(tmp_path)


WAITING = """
import sys
from pathlib import Path
from journalgen.site.tree import write_tree
def pages():
    for n in range(2000):
        yield f"page-{n}.html", b"new"
        if n == 20:
            print("writing", flush=True)
            sys.stdin.readline()
write_tree(Path(sys.argv[1]), pages(), {})
"""


def run_until_told(site: Path) -> subprocess.Popen[str]:
    """A run that waits amid its pages for a line."""
    command = [sys.executable, "-c", WAITING, str(site)]
    running = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert running.stdout is not None
    assert running.stdout.readline() == "writing\n"
    return running


def test_a_killed_run_leaves_the_previous_site_and_the_next_run_clears_up(tmp_path: Path) -> None:
    site = tmp_path / "public"
    write_tree(site, PAGES, {})
    with run_until_told(site) as running:
        os.kill(running.pid, signal.SIGKILL)
    assert contents(site) == dict(PAGES)
    write_tree(site, PAGES[:1], {})
    assert contents(site) == dict(PAGES[:1])
    assert only_the_site_is_left(tmp_path)


def test_two_runs_at_once_do_not_mix(tmp_path: Path) -> None:
    site = tmp_path / "public"
    with run_until_told(site) as running:
        with pytest.raises(OutputFault, match="Another run"):
            write_tree(site, PAGES, {})
        running.communicate("go on\n", timeout=60)
    assert len(contents(site)) == 2000
