"""Pictures that a person put into a site are looked into, whatever they are."""

from __future__ import annotations

import pytest

from journalgen.outside.revealing.pictures import look_into
from tests.pictures.biting import REFUSED, RIGHT, biting

SMALL = [
    name for name in (*REFUSED, *RIGHT) if "MB" not in name and "sixteen bits" not in name and "long as" not in name
]


@pytest.mark.parametrize("name", SMALL)
def test_a_picture_that_bites_is_told_of_or_passed_and_never_a_crash(name: str) -> None:
    assert all(hit.what for hit in look_into(biting(name)))


@pytest.mark.parametrize("name", ["SVG", "HTML behind a start of JPEG"])
def test_what_is_no_picture_is_said_to_be_none(name: str) -> None:
    assert [hit.kind for hit in look_into(biting(name))] == ["not-looked-into"]
