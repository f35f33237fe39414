"""A journal folder to its records."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from journalgen.reading.journal import NoJournal, read_journal
from journalgen.records import Statement
from journalgen.values import Duration, Place, Window
from tests.journals import SETTINGS, rules, write_journal

REGISTERS = {
    "register/parts.yaml": """
        front wheel:
          assembly: running gear
          also called: [wheel, road wheel]
          number: PQ-17-204
          quantity: 2
          area: 0.42 m2
          route: painted steel
          decision: repair
          stored: shelf B, box 3
          needs: [axle, wheel bearing]
          safety: brakes
        axle:
        wheel bearing:
        """,
    "register/materials.yaml": """
        zinc primer:
          kind: coating
          solids: 52 %
          film: 40 um
          loss: 30 %
          thinner: 10 %
          density: 1.42 kg/L
          recoat: 4 h .. 7 d
          cure: 7 d
          limits: {humidity: at most 85 %, surface: 5 .. 35 degC, above dew point: 3 degC}
          keeps: 24 months
          colour: "#8a8f92"
          hazards: [H226, H315, H410]
          safety sheet: zinc-primer.pdf
        grade 320 paper:
        """,
}


def test_the_registers_are_read_whole(tmp_path: Path) -> None:
    reading = read_journal(write_journal(tmp_path, REGISTERS))
    assert not reading.problems
    wheel = reading.journal.parts["front wheel"]
    assert (wheel.assembly, wheel.quantity, wheel.needs) == ("running gear", 2, ("axle", "wheel bearing"))
    assert (wheel.also_called, wheel.safety, wheel.stored) == (("wheel", "road wheel"), "brakes", "shelf B, box 3")
    primer = reading.journal.materials["zinc primer"]
    assert (primer.solids, primer.film, primer.density) == (52, 40, Fraction(142, 100))
    assert primer.recoat == Window(Duration(240), Duration(10080))
    assert (primer.keeps, primer.hazards) == (Duration(0, 24), ("H226", "H315", "H410"))
    assert primer.limits.above_dew_point is not None
    assert primer.limits.above_dew_point.number == 3


def test_names_meet_without_regard_to_case_spacing_hyphens_and_other_names(tmp_path: Path) -> None:
    entries = {"entries/2024-03-09-a.md": "---\nparts: [Front-Wheel, road wheel, AXLE]\nhours: 1\n---\n"}
    reading = read_journal(write_journal(tmp_path, REGISTERS | entries))
    assert not reading.problems
    assert reading.journal.sessions[0].parts == ("front wheel", "axle")


def test_an_unknown_name_is_kept_and_reported_once_with_the_nearest(tmp_path: Path) -> None:
    entries = {
        "entries/2024-03-09-a.md": "---\nparts: front whel\nhours: 1\n---\n",
        "entries/2024-03-10-b.md": "---\nparts: front whel\nhours: 1\n---\n",
    }
    reading = read_journal(write_journal(tmp_path, REGISTERS | entries))
    assert rules(reading.problems) == ["unknown-part"]
    assert "front wheel" in reading.problems[0].remedy
    assert "front whel" in reading.journal.parts
    assert not reading.journal.parts["front whel"].registered


def test_without_a_register_only_a_likely_slip_is_reported(tmp_path: Path) -> None:
    entries = {
        "entries/2024-03-09-a.md": "---\nparts: front wheel, wheel 1\n---\n",
        "entries/2024-03-10-b.md": "---\nparts: front whel, wheel 2\n---\n",
    }
    reading = read_journal(write_journal(tmp_path, entries))
    assert [(p.rule, p.place.file) for p in reading.problems] == [("unknown-part", "entries/2024-03-10-b.md")]


def test_an_entry_may_show_the_pair_of_a_part_that_a_later_one_brings(tmp_path: Path) -> None:
    entries = {
        "entries/2024-03-09-a.md": """
            ---
            hours: 1
            photos: {file: a.jpg}
            ---

            ```pair
            part: Bracket
            before: a.jpg
            ```
            """,
        "entries/2024-03-10-b.md": "---\nparts: bracket\nhours: 1\n---\n",
    }
    reading = read_journal(write_journal(tmp_path, entries))
    assert rules(reading.problems) == ["photo-absent"]
    pair = reading.journal.sessions[0].blocks[0].pair
    assert pair
    assert pair.part == "bracket"


def test_work_on_an_assembly_as_a_whole_counts_for_it(tmp_path: Path) -> None:
    entries = {"entries/2024-03-09-a.md": "---\nparts: Running-Gear\nhours: 1\n---\n"}
    reading = read_journal(write_journal(tmp_path, REGISTERS | entries))
    assert not reading.problems
    assert reading.journal.sessions[0].parts == ("running gear",)
    assert reading.journal.parts["running gear"].assembly == "running gear"


def test_assemblies_that_are_nearly_alike_are_pointed_out(tmp_path: Path) -> None:
    assemblies = ("running gear", "runing gear", "running gear", "bogie 1", "bogie 2")
    parts = "".join(f"part {letter}: {{assembly: {name}}}\n" for letter, name in zip("abcde", assemblies, strict=True))
    reading = read_journal(write_journal(tmp_path, {"register/parts.yaml": parts}))
    assert [(p.rule, p.place.line) for p in reading.problems] == [("assembly-alike", 2)]


def test_steps_are_free_words_but_a_likely_slip_and_an_unknown_route_are_reported(tmp_path: Path) -> None:
    files = {
        "register/parts.yaml": "axle: {route: Painted-Steel}\nhub: {route: painted stel}\n",
        "entries/2024-03-09-a.md": (
            "---\nwork:\n  - {part: axle, step: Trial-Fit}\n  - {part: axle, step: degraese}\n"
            "  - {part: axle, step: Whisper To It}\n  - {part: axle, step: remove}\n---\n"
        ),
    }
    reading = read_journal(write_journal(tmp_path, files))
    assert rules(reading.problems) == ["unknown-step", "unknown-route"]
    assert reading.journal.parts["axle"].route == "painted steel"
    assert [line.step for line in reading.journal.sessions[0].work] == [
        "trial fit",
        "degraese",
        "whisper to it",
        "remove",
    ]
    assert reading.journal.steps["remove"].family == "take off"


def test_an_own_step_or_route_replaces_the_built_in_one(tmp_path: Path) -> None:
    files = {"register/steps.yaml": "steps:\n  Etch: {wait: 3 h, also called: [tap]}\nroutes:\n  wood: [sand, fit]\n"}
    reading = read_journal(write_journal(tmp_path, files))
    assert not reading.problems
    assert reading.journal.steps["Etch"].wait == Duration(180)
    assert "etch" not in reading.journal.steps
    assert reading.journal.routes["wood"].steps == ("sand", "fit")


def test_a_material_whose_name_ends_like_an_amount_is_not_cut(tmp_path: Path) -> None:
    entries = {"entries/2024-03-09-a.md": "---\nmaterials: grade 320 paper, zinc primer 100 mL\n---\n"}
    reading = read_journal(write_journal(tmp_path, REGISTERS | entries))
    assert [(use.material, use.amount is None) for use in reading.journal.sessions[0].uses] == [
        ("grade 320 paper", True),
        ("zinc primer", False),
    ]


def test_two_entries_of_one_date_and_title_both_count(tmp_path: Path) -> None:
    entries = {f"entries/{name}.md": "---\ndate: 2024-03-09\ntitle: Etch\nhours: 1\n---\n" for name in ("a", "b")}
    reading = read_journal(write_journal(tmp_path, entries))
    assert [session.page for session in reading.journal.sessions] == ["2024-03-09-etch", "2024-03-09-etch-2"]
    assert rules(reading.problems) == ["same-date-and-title"]


def test_an_entry_without_a_title_has_its_day_once_in_the_name_of_its_page(tmp_path: Path) -> None:
    entries = {"entries/2024-03-09.md": "---\nhours: 1\n---\n", "entries/2024-03-10-etch.md": "---\nhours: 1\n---\n"}
    reading = read_journal(write_journal(tmp_path, entries))
    assert [session.page for session in reading.journal.sessions] == ["2024-03-09", "2024-03-10-etch"]


def test_sessions_are_in_order_of_time_whatever_their_files_are_called(tmp_path: Path) -> None:
    entries = {
        "entries/z.md": "---\ndate: 2024-01-01\n---\n",
        "entries/a.md": "---\ndate: 2024-02-01\nstart: 20:00\n---\n",
        "entries/b.md": "---\ndate: 2024-02-01\nstart: 9:00\n---\n",
    }
    sessions = read_journal(write_journal(tmp_path, entries)).journal.sessions
    assert [session.place.file for session in sessions] == ["entries/z.md", "entries/b.md", "entries/a.md"]


@pytest.mark.parametrize(
    ("name", "data", "rule"),
    [
        ("entries/2024-03-09-a.md", b"caf\xe9\n", "not-utf-8"),
        ("entries/2024-03-09-a.md", b"a\n\0b\n", "not-text"),
        ("entries/2024-03-09-a.md", b"x" * (10 * 1024 * 1024 + 1), "too-large"),
        ("register/parts.yaml", b"- a\n", "mapping"),
        ("register/parts.yaml", b"wheel: {}\nWheel: {}\n", "duplicate-name"),
        ("register/parts.yaml", b"wheel: {also called: [ring]}\nring: {}\n", "duplicate-name"),
        ("register/parts.yaml", b"wheel: {quantity: many}\n", "number"),
        ("register/parts.yaml", b"wheel: {safety: doors}\n", "word"),
        ("register/materials.yaml", b"paint: {colour: red}\n", "colour"),
        ("register/materials.yaml", b"paint: {hazards: [X999]}\n", "hazard"),
        ("register/materials.yaml", b"paint: {recoat: soon}\n", "duration"),
        ("register/suppliers.yaml", b"shop: {private: perhaps}\n", "yes-or-no"),
        ("register/steps.yaml", b"steps: [a]\n", "mapping"),
    ],
)
def test_a_faulty_file_is_one_error_and_no_crash(tmp_path: Path, name: str, data: bytes, rule: str) -> None:
    root = write_journal(tmp_path, {"entries/2024-03-10-good.md": "---\nhours: 1\n---\n"})
    (root / name).parent.mkdir(exist_ok=True)
    (root / name).write_bytes(data)
    reading = read_journal(root)
    assert [(p.rule, p.place.file, p.severity) for p in reading.problems] == [(rule, name, "error")]
    assert [session.minutes for session in reading.journal.sessions] == [60]


def test_links_that_lead_out_are_errors_and_are_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside.md"
    outside.write_text("---\ndate: 2024-01-01\nhours: 9\n---\nsecret\n")
    root = write_journal(tmp_path / "journal", {"entries/2024-03-10-good.md": "---\nphotos: secret.jpg\n---\n"})
    (root / "entries" / "2024-01-01-link.md").symlink_to(outside)
    (root / "entries" / "loop").symlink_to(root / "entries", target_is_directory=True)
    (root / "photos").mkdir()
    (root / "photos" / "secret.jpg").symlink_to(outside)
    reading = read_journal(root)
    assert rules(reading.problems) == ["leads-out"] * 3
    assert len(reading.journal.sessions) == 1


def test_files_that_are_no_entries_and_no_registers_are_pointed_out(tmp_path: Path) -> None:
    files = {"entries/2024-03-09-a.txt": "x", "register/part.yaml": "x:\n", "entries/.hidden.md": "x"}
    reading = read_journal(write_journal(tmp_path, files))
    assert rules(reading.problems) == ["not-an-entry", "unknown-register"]


def test_references_and_blocks_that_lead_nowhere_are_warnings(tmp_path: Path) -> None:
    body = """
        ---
        parts: axle
        photos: [a.jpg]
        measures:
          - {part: axle, what: journal diameter, value: 3 mm}
        ---
        [good](part:axle), [bad](part:axel), [good](session:2024-03-09), [bad](session:2024-03-10)

        ```photos
        a.jpg
        b.jpg
        ```

        ```measure
        axle: journal diameter
        axle: length
        ```

        ```pair
        part: horn
        ```

        ![listed](../photos/a.jpg) ![not listed](../photos/c.jpg) ![elsewhere](https://example.org/x.png)
        """
    root = write_journal(tmp_path, {"entries/2024-03-09-a.md": body})
    (root / "photos").mkdir()
    (root / "photos" / "a.jpg").write_bytes(b"x")
    found = [(p.rule, p.place.line) for p in read_journal(root).problems]
    assert found == [
        ("reference-unknown", 7),
        ("reference-unknown", 7),
        ("photo-not-listed", 9),
        ("measure-not-listed", 14),
        ("unknown-part", 19),
        ("photo-not-listed", 23),
        ("picture-elsewhere", 23),
    ]


def test_an_absent_photograph_is_a_warning_with_the_nearest_name(tmp_path: Path) -> None:
    root = write_journal(tmp_path, {"entries/2024-03-09-a.md": "---\nphotos: whel.jpg\n---\n"})
    (root / "photos" / "2024").mkdir(parents=True)
    (root / "photos" / "2024" / "wheel.jpg").write_bytes(b"x")
    (problem,) = read_journal(root).problems
    assert (problem.rule, problem.severity) == ("photo-absent", "warning")
    assert "2024/wheel.jpg" in problem.remedy


def test_a_folder_without_settings_is_no_journal(tmp_path: Path) -> None:
    with pytest.raises(NoJournal):
        read_journal(tmp_path)


def test_settings_are_read_whole(tmp_path: Path) -> None:
    settings = """
        title = "Trolley"
        home_currency = "JPY"
        locale = "de-DE"
        language = "de"
        time_zone = "Europe/Berlin"
        units = "imperial"
        address = "https://example.org/trolley/"
        theme = "grey"
        [machine]
        name = "Trolley"
        year = 1956
        identity_number = "PQ-17-0031"
        arrived = 2023-04-15
        [dossier]
        keeper = "Someone"
        purpose = " To run  again. "
        costs = false
        [rates]
        ITL = "0.00040"
        DEM = 0.5
        [editions.public]
        hide = ["hours"]
        [targets.web]
        url = "sftp://example.org/trolley"
        """
    reading = read_journal(write_journal(tmp_path, {}, settings))
    assert not reading.problems
    found = reading.journal.settings
    assert (found.home_currency, found.home_decimals, found.locale) == ("JPY", 0, "de_DE")
    assert (found.machine.year, found.machine.arrived) == ("1956", date(2023, 4, 15))
    assert found.statement == Statement(keeper="Someone", purpose="To run again.", costs=False)
    assert dict(found.rates) == {"ITL": Decimal("0.00040"), "DEM": Decimal("0.5")}
    assert (found.hide, found.address) == (frozenset({"hours"}), "https://example.org/trolley")
    assert (found.theme, found.theme_place) == ("grey", Place("journal.toml", 8))


@pytest.mark.parametrize("more", ["", "[editions]\n", "[editions.public]\n"])
def test_where_nothing_is_said_of_the_public_edition_the_usual_is_hidden(tmp_path: Path, more: str) -> None:
    hide = read_journal(write_journal(tmp_path, {}, SETTINGS + more)).journal.settings.hide
    assert hide == {"prices", "suppliers", "storage", "numbers"}


@pytest.mark.parametrize(
    ("line", "rule", "at", "severity"),
    [
        ('title = "a', "toml", 1, "error"),
        ('home_currency = "EURO"', "currency", 1, "error"),
        ('time_zone = "Europe/Nowhere"', "time-zone", 1, "error"),
        ('locale = "xx_YY"', "locale", 1, "error"),
        ('language = "en"\nunits = "cubits"', "word", 2, "error"),
        ('address = "javascript:x"', "address", 1, "error"),
        ('titel = "a"', "unknown-key", 1, "warning"),
        ('[machine]\nyaer = "1956"', "unknown-key", 2, "warning"),
        ('[editions.public]\nhide = ["price"]', "hide", 2, "error"),
        ('[editions.public]\nhide = "prices"', "hide", 2, "error"),
        ('[editions.public]\nhidden = ["prices"]', "unknown-key", 2, "error"),
        ('[editions.pubic]\nhide = ["prices"]', "unknown-key", 1, "error"),
        ('[dossier]\nkeper = "a"', "unknown-key", 2, "warning"),
        ('[dossier]\ncosts = "no"', "toml", 2, "error"),
        ('[rates]\nQQQ = "1"', "currency", 2, "error"),
        ('[rates]\nITL = "nought"', "number", 2, "error"),
        ('[rates]\nITL = "0"', "rate", 2, "error"),
    ],
)
def test_a_fault_in_the_settings_has_its_line(tmp_path: Path, line: str, rule: str, at: int, severity: str) -> None:
    head = "" if line.startswith("home_currency") else 'home_currency = "GBP"\n'
    found = read_journal(write_journal(tmp_path, {}, f"{head}{line}\n")).problems
    assert [(p.rule, p.place.line - bool(head), p.severity) for p in found if p.rule != "home-currency-missing"] == [
        (rule, at, severity)
    ]
