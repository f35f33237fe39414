"""How `dossier` behaves: what it refuses, what becomes of hostile texts, that it writes over nothing else."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pikepdf
import pytest

from journalgen.ledgers.pairs import Pair, Shot
from journalgen.outside.dossier.choosing import choose_shots, spell_numbers
from journalgen.outside.dossier.lettering import without_unseen
from journalgen.outside.dossier.setting import try_letters
from tests.intake.camera import photograph
from tests.journals import SETTINGS, entry, write_journal
from tests.outside.bags import small_journal
from tests.outside.papers import dossier, text_of

HOSTILE = '#import "x": * $a_b$ [*b*] <script>alert(1)</script> `c` \\d @e ~ = f -- g // h /* i */ <label> 車 Ω Ж'


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return small_journal(tmp_path / "home" / "trolley")


def test_it_lies_beside_the_journal_and_is_the_same_every_time(journal: Path) -> None:
    done = dossier(journal, "--on", "2024-05-01")
    assert done.exit_code == 0, done.stderr
    file = Path(done.stdout.strip())
    assert file == journal.parent / "test-trolley-dossier-2024-05-01.pdf"
    first = file.read_bytes()
    assert dossier(journal, "--on", "2024-05-01").exit_code == 0  # an earlier dossier may be replaced
    assert file.read_bytes() == first
    assert sorted(path.name for path in journal.parent.iterdir()) == [file.name, journal.name]


def test_private_matter_is_the_owners(journal: Path, tmp_path: Path) -> None:
    assert dossier(journal, "--to", tmp_path / "o.pdf").exit_code == 0
    assert dossier(journal, "--to", tmp_path / "p.pdf", "--edition", "public").exit_code == 0
    owner, public = text_of(tmp_path / "o.pdf"), text_of(tmp_path / "p.pdf")
    for secret in ("Nobody's business", "whispered", "secret seller", "12.50", "wheel.jpg", "under the bench"):
        assert secret in owner
        assert secret not in public
    assert "Scale came off." in public
    assert "Nobody's business (private)" in owner


def test_each_private_line_is_marked_in_the_owners_one_and_gone_from_the_other(tmp_path: Path) -> None:
    text = """
        ---
        work: [{part: axle, step: hush, note: w, private: yes}, {part: axle, step: clean}]
        found: [{part: axle, condition: secret dent, private: yes}]
        decisions: [{part: axle, do: repair, why: secret reason, private: yes}]
        measures: [{part: axle, what: secret bore, value: 3 mm, private: yes}]
        bought: [{part: axle, what: secret thing, price: 3, private: yes}]
        photos: [{file: a.jpg, part: axle, caption: secret look, private: yes}]
        ---
        """
    journal = write_journal(tmp_path / "trolley", {"entries/2024-03-09-a.md": text})
    assert dossier(journal, "--to", tmp_path / "o.pdf").exit_code == 0
    assert dossier(journal, "--to", tmp_path / "p.pdf", "--edition", "public").exit_code == 0
    owner, public = text_of(tmp_path / "o.pdf"), text_of(tmp_path / "p.pdf")
    for secret in ("hush", "secret dent", "secret reason", "secret bore", "secret thing", "secret look"):
        assert f"{secret} (private)" in owner.replace("; axle (private)", " (private)"), secret
    assert "secret" not in public
    assert "hush" not in public


def test_hostile_texts_come_out_as_texts(tmp_path: Path) -> None:
    text = HOSTILE.replace("'", "''")
    journal = write_journal(
        tmp_path / "trolley",
        {
            "entries/2024-03-09-a.md": f"""
                ---
                title: '{text}'
                work: [{{part: '{text}', step: blast, note: '{text}'}}]
                found: [{{part: '{text}', condition: "turned \\u202e about \\u2066 and \\ufeff not"}}]
                ---
                # {HOSTILE}

                1. {HOSTILE}

                ```
                {HOSTILE}
                  kept
                ```

                | {HOSTILE} | b |
                |---|---|
                | *x* | **y** |
                """,
        },
        SETTINGS + f"[machine]\nname = '''{HOSTILE}'''\n[dossier]\nkeeper = '''{HOSTILE}'''\n",
    )
    done = dossier(journal, "--to", tmp_path / "a.pdf", "--on", "2024-05-01")
    assert done.exit_code == 0, done.stderr
    assert "The fonts at hand have no sign for U+8ECA" in done.stderr
    said = text_of(tmp_path / "a.pdf")
    shown = HOSTILE.replace("車", "[U+8ECA]")
    assert said.count(shown) >= 6
    assert "turned about and not" in said
    assert "In their place stands their number in Unicode" in said
    with pikepdf.open(tmp_path / "a.pdf") as document:
        assert document.docinfo["/Author"] == shown


def test_fonts_that_are_named_are_used(tmp_path: Path) -> None:
    assert try_letters({"a", "Ω", "車", "\x07", '"', "\\"}, None) == {"車", "\x07"}
    assert try_letters({"車"}, tmp_path) == {"車"}


def test_what_cannot_be_seen_is_left_out() -> None:
    assert without_unseen("a\x00b\u202ec\r\nd\ufeff \ud800e\u0301") == "abc\nd ?e\u0301"


def test_a_journal_without_entries_has_a_dossier_that_says_so(tmp_path: Path) -> None:
    journal = write_journal(tmp_path / "trolley", {})
    done = dossier(journal, "--to", tmp_path / "a.pdf")
    assert done.exit_code == 0, done.stderr
    text = text_of(tmp_path / "a.pdf")
    for said in ("No part is named yet.", "No session is recorded yet.", "No photograph is recorded yet.", "not known"):
        assert said in text


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--part", "frnt wheel"), '"frnt wheel" is not a part of this journal. Did you mean front wheel?'),
        (("--assembly", "brakes"), '"brakes" is not an assembly of this journal.'),
        (("--edition", "public", "--costs"), "The public edition hides prices"),
        (("--paper", "a5"), "a5"),
    ],
)
def test_wrong_usage(journal: Path, args: tuple[str, ...], said: str) -> None:
    done = dossier(journal, *args)
    assert done.exit_code == 2
    assert said in done.stderr
    assert list(journal.parent.iterdir()) == [journal]


def test_nothing_of_anybodys_is_written_over(journal: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.pdf"
    mine.write_bytes(b"%PDF-1.7 mine")
    done = dossier(journal, "--to", mine)
    assert done.exit_code == 1
    assert "is there already, and no dossier of this program" in done.stderr
    assert mine.read_bytes() == b"%PDF-1.7 mine"
    assert dossier(journal, "--to", mine, "--replace").exit_code == 0
    assert mine.read_bytes() != b"%PDF-1.7 mine"
    for inside in ("photos/a.pdf", "register/a.pdf"):
        done = dossier(journal, "--to", journal / inside)
        assert (done.exit_code, (journal / inside).exists()) == (1, False)
    done = dossier(journal, "--to", tmp_path / "nowhere" / "a.pdf")
    assert done.exit_code == 1
    assert "There is no folder" in done.stderr


def test_a_disk_that_is_full_keeps_the_dossier_there_was(
    journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "to").mkdir()
    assert dossier(journal, "--to", tmp_path / "to").exit_code == 0
    [file] = (tmp_path / "to").iterdir()
    before = file.read_bytes()

    def full(source: Path, target: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(target))

    monkeypatch.setattr("journalgen.whole.os.replace", full)
    done = dossier(journal, "--to", file)
    assert done.exit_code == 1
    assert "could not be written: No space left on device. Nothing was left there." in done.stderr
    assert [path.name for path in (tmp_path / "to").iterdir()] == [file.name]
    assert file.read_bytes() == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no full device")
def test_a_place_that_is_no_plain_file(journal: Path) -> None:
    done = dossier(journal, "--to", "/dev/full")
    assert done.exit_code == 1
    assert "is no plain file" in done.stderr


def test_errors_write_nothing_unless_they_are_left_out(journal: Path, tmp_path: Path) -> None:
    (journal / "entries" / "2024-05-01-wrong.md").write_text("---\nhours: 2h75\n---\n")
    done = dossier(journal, "--to", tmp_path / "a.pdf")
    assert (done.exit_code, done.stdout) == (1, "")
    assert "Nothing was written." in done.stderr
    assert not (tmp_path / "a.pdf").exists()
    done = dossier(journal, "--to", tmp_path / "a.pdf", "--leave-out")
    assert done.exit_code == 0
    assert "Left out because of errors: entries/2024-05-01-wrong.md" in done.stderr
    assert "entries/2024-05-01-wrong.md" in text_of(tmp_path / "a.pdf")


def test_a_photograph_that_is_gone_or_broken_is_a_gap_that_is_told_of(journal: Path, tmp_path: Path) -> None:
    (journal / "photos" / "wheel.jpg").write_bytes(b"no picture")
    done = dossier(journal, "--to", tmp_path / "a.pdf")
    assert done.exit_code == 0, done.stderr
    assert "1 photograph could not be shown" in done.stderr
    text = text_of(tmp_path / "a.pdf")
    assert "photos/wheel.jpg cannot be shown" in text
    assert "Photographs that cannot be shown 1" in text
    (journal / "photos" / "wheel.jpg").unlink()
    assert dossier(journal, "--to", tmp_path / "a.pdf").exit_code == 0
    assert "Photographs that cannot be read 1" in text_of(tmp_path / "a.pdf")


def test_a_region_that_is_hidden_is_not_in_the_picture(tmp_path: Path) -> None:
    from PIL import Image

    text = '---\nphotos: [{file: a.png, part: frame, hide: [["0 %", "0 %", "50 %", "100 %"]]}]\n---\n'
    journal = write_journal(tmp_path / "trolley", {"entries/2024-03-09-a.md": text})
    (journal / "photos").mkdir()
    image = Image.new("RGB", (400, 200), (0, 0, 255))
    for x in range(0, 200, 20):
        image.paste((255, 0, 0), (x, 0, x + 10, 200))
    image.save(journal / "photos" / "a.png")
    done = dossier(journal, "--to", tmp_path / "a.pdf")
    assert done.exit_code == 0, done.stderr
    with pikepdf.open(tmp_path / "a.pdf") as document:
        [shown] = {
            pikepdf.PdfImage(found).as_pil_image().convert("RGB").tobytes(): pikepdf.PdfImage(found).as_pil_image()
            for page in document.pages
            for found in page.get_images().values()
        }.values()
    left, right = shown.convert("RGB").getpixel((5, 50)), shown.convert("RGB").getpixel((350, 50))
    assert isinstance(left, tuple)
    assert isinstance(right, tuple)
    assert left[0] < 230  # the stripe has run into what is beside it
    assert right[2] > 230


def test_interrupted_it_leaves_nothing(journal: Path, tmp_path: Path) -> None:
    for turn in range(60):
        photograph(journal / "photos" / f"{turn}.jpg", f"2024:03:09 19:{turn:02}:02")
    lines = ", ".join(f"{{file: {turn}.jpg, part: p{turn}}}" for turn in range(60))
    (journal / "entries" / "2024-03-10-many.md").write_text(f"---\nphotos: [{lines}]\n---\n")
    (tmp_path / "to").mkdir()
    command = [sys.executable, "-m", "journalgen", "dossier", str(journal), "--to", str(tmp_path / "to")]
    run = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    time.sleep(1.2)
    run.send_signal(signal.SIGINT)
    _, said = run.communicate(timeout=60)
    assert run.returncode in (0, 130)
    names = [path.name for path in (tmp_path / "to").iterdir()]
    assert names == [] if run.returncode == 130 else len(names) == 1
    if run.returncode == 130:
        assert "Interrupted" in said
        assert "Traceback" not in said


def shots(count: int) -> list[Shot]:
    lines = "".join(f"  - {{file: {n}.jpg, part: wheel}}\n" for n in range(count))
    session = entry(f"---\nphotos:\n{lines}---\n")
    return [Shot(session, photo) for photo in session.photos]


def test_of_many_photographs_the_pair_and_some_between_are_shown() -> None:
    row = shots(40)
    pair = Pair("wheel", row[3], row[30])
    chosen = choose_shots(row, pair, 6)
    assert len(chosen) == 6
    assert [shot.photo.file for shot in chosen] == [f"{n}.jpg" for n in (3, 5, 15, 24, 30, 35)]
    assert choose_shots(row, pair, 2) == (row[3], row[30])
    assert choose_shots(row[:4], None, 6) == tuple(row[:4])


def test_numbers_in_a_row_are_told_as_one() -> None:
    assert spell_numbers([9, 1, 3, 2, 5, 6, 9]) == "1–3, 5, 6, 9"
    assert spell_numbers([]) == ""
