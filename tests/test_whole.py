"""Files written whole: new ones never over another, changed ones only if nobody else changed them."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from journalgen.whole import Changed, place_new, replace_unchanged


@pytest.fixture(params=[True, False], ids=["hard links", "no hard links"])
def links(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """File systems of both kinds."""

    def link(one: Path, other: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    if not request.param:
        monkeypatch.setattr(os, "link", link)


@pytest.mark.usefixtures("links")
def test_a_finished_file_is_given_its_name(tmp_path: Path) -> None:
    (tmp_path / ".a.part").write_bytes(b"new")
    place_new(tmp_path / ".a.part", tmp_path / "a")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a", b"new")]


@pytest.mark.usefixtures("links")
def test_a_name_that_is_taken_is_not_given_again(tmp_path: Path) -> None:
    (tmp_path / ".a.part").write_bytes(b"new")
    (tmp_path / "a").write_bytes(b"old")
    with pytest.raises(FileExistsError):
        place_new(tmp_path / ".a.part", tmp_path / "a")
    assert (tmp_path / "a").read_bytes() == b"old"


def test_a_file_is_replaced_if_it_is_what_it_was(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    replace_unchanged(tmp_path / "a", b"old", b"new")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a", b"new")]
    with pytest.raises(Changed):
        replace_unchanged(tmp_path / "a", b"old", b"newer")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a", b"new")]
