"""What the program stands on: nothing without an upper bound, everything in the list of licences, all of it locked."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path
from typing import Any, Final

import pytest

HOUSE: Final = Path(__file__).parents[1]
PROJECT: Final[dict[str, Any]] = tomllib.loads((HOUSE / "pyproject.toml").read_text("utf-8"))["project"]
OWN: Final = PROJECT["name"]
EXTRAS: Final[dict[str, list[str]]] = PROJECT["optional-dependencies"]
SHIPPED: Final = [*PROJECT["dependencies"], *EXTRAS["sftp"], *EXTRAS["s3"]]
EVERY: Final = sorted({*SHIPPED, *(row for rows in EXTRAS.values() for row in rows)})
ROW: Final = re.compile(r"^\| `([^`]+)` \| [^|]+ \| ([^|]+) \|$", re.MULTILINE)


def name_of(requirement: str) -> str:
    found = re.match(r"[\w.-]+", requirement)
    assert found
    return found[0]


def listed() -> dict[str, str]:
    """The licences of DEVELOPERS.md."""
    return dict(ROW.findall((HOUSE / "DEVELOPERS.md").read_text("utf-8")))


@pytest.mark.parametrize("requirement", [row for row in EVERY if name_of(row) not in (OWN, "tzdata")])
def test_no_later_major_is_taken_unseen(requirement: str) -> None:
    assert re.search(r"<\d", requirement.partition(";")[0])


@pytest.mark.parametrize("requirement", SHIPPED)
def test_what_comes_with_the_program_is_listed_with_its_licence(requirement: str) -> None:
    name = name_of(requirement)
    licence = listed()[name]
    try:
        told = metadata(name)
    except PackageNotFoundError:
        assert name == "tzdata"  # only Windows needs it
        return
    words = told.get("License-Expression") or told.get("License") or " ".join(told.get_all("Classifier", []))
    family = re.split(r"[- ]", licence)[0]
    assert family in words or f"{family} License" in words or "License" not in words, (licence, words)


def test_nothing_is_listed_that_is_not_used() -> None:
    assert listed().keys() == {name_of(row) for row in SHIPPED}


def test_whatever_the_tests_install_is_locked_with_digests() -> None:
    lock = (HOUSE / ".ci" / "lock.txt").read_text("utf-8")
    locked = {re.sub(r"[-_.]+", "-", name).lower() for name in re.findall(r"^([\w.-]+)==", lock, re.MULTILINE)}
    wanted = [row for row in [*SHIPPED, *EXTRAS["test"], *EXTRAS["check"]] if name_of(row) != OWN]
    assert {re.sub(r"[-_.]+", "-", name_of(row)).lower() for row in wanted} <= locked
    assert lock.count("--hash=sha256:") > len(locked)
