"""What a run leaves for the next is believed only where it is whole and of this very program."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct

from journalgen import keeping
from journalgen.stamps import settled
from journalgen.values import Amount, Body


class Kept(Struct):
    name: str
    share: Fraction
    body: Body = Body()
    amounts: tuple[Amount, ...] = ()


KEPT = Kept("a", Fraction(1, 3), Body("text"), (Amount(Decimal("1.50"), "mL", "volume", Fraction(1, 1000)),))


def test_what_was_saved_is_loaded(tmp_path: Path) -> None:
    keeping.save(tmp_path / "below" / "kept", KEPT)
    found = keeping.load(tmp_path / "below" / "kept", Kept)
    assert found == KEPT
    assert found is not None
    assert isinstance(found.body, Body)
    assert str(found.amounts[0].number) == "1.50"


@given(at=st.integers(0, 10_000), value=st.integers(0, 255))
def test_a_changed_byte_is_noticed(tmp_path_factory: pytest.TempPathFactory, at: int, value: int) -> None:
    file = tmp_path_factory.mktemp("kept") / "kept"
    keeping.save(file, KEPT)
    data = bytearray(file.read_bytes())
    before = bytes(data)
    data[at % len(data)] = value
    file.write_bytes(data)
    assert keeping.load(file, Kept) == (KEPT if bytes(data) == before else None)


def test_another_programs_is_not_believed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keeping.save(tmp_path / "kept", KEPT)
    monkeypatch.setattr(keeping, "program_mark", lambda: b"another")
    assert keeping.load(tmp_path / "kept", Kept) is None


@pytest.mark.parametrize("rubbish", [b"", b"x", b"\0" * 40])
def test_rubbish_is_nothing(tmp_path: Path, rubbish: bytes) -> None:
    (tmp_path / "kept").write_bytes(rubbish)
    assert keeping.load(tmp_path / "kept", Kept) is None
    assert keeping.load(tmp_path / "none", Kept) is None


def test_a_file_is_settled_once_its_clock_must_have_gone_on() -> None:
    fine, coarse, second = 1_700_000_000_123_456_789, 1_700_000_000_000_000_000, 1_000_000_000
    assert not settled(fine, fine + second // 100)
    assert settled(fine, fine + second // 10)
    assert not settled(coarse, coarse + second)  # it may be a disk that counts in steps of two seconds
    assert settled(coarse, coarse + 3 * second)
    assert not settled(fine, fine - second)  # a clock that was put back
