"""The public edition is computed from what is public."""

from __future__ import annotations

from pathlib import Path

import pytest

from journalgen.editions import masked, public_edition
from journalgen.reading.journal import read_journal
from journalgen.records import Journal, Statement
from tests.journals import SETTINGS, write_journal

FILES = {
    "register/parts.yaml": """
        front wheel: {number: PQ-17-204, stored: shelf B, needs: [axle]}
        axle:
        """,
    "register/suppliers.yaml": """
        Open Shop: {place: Town}
        Secret Shop: {place: Town, private: yes}
        """,
    "entries/2024-01-01-open.md": """
        ---
        hours: 2
        work:
          - {part: front wheel, step: clean, hours: 1}
          - {part: hidden lever, step: clean, hours: 0:30, private: yes}
        bought:
          - {part: front wheel, price: 10, from: Open Shop}
          - {part: front wheel, price: 20, from: Secret Shop}
          - {part: front wheel, price: 40, private: yes}
        measures:
          - {part: front wheel, what: bore, value: 3 mm, private: yes}
        photos:
          - {file: a.jpg, part: front wheel}
          - {file: b.jpg, part: front wheel, private: yes}
          - {file: c.jpg, part: front wheel}
        ---
        """,
    "entries/2024-01-02-secret.md": """
        ---
        private: yes
        parts: secret part
        hours: 3
        materials: secret paint 5 mL
        photos:
          - {file: c.jpg}
          - {file: d.jpg}
        ---
        """,
    "entries/2024-01-03-again.md": """
        ---
        photos:
          - {file: b.jpg, part: front wheel}
        ---
        """,
}


def public(tmp_path: Path, hide: list[str]) -> Journal:
    listed = ", ".join(f'"{kind}"' for kind in hide)
    more = f"""
[machine]
identity_number = "PQ-17-0031"
[dossier]
keeper = "K"
owner = "O"
purpose = "P"
[editions.public]
hide = [{listed}]
[targets.x]
url = "y"
"""
    settings = SETTINGS + more
    return public_edition(read_journal(write_journal(tmp_path, FILES, settings)).journal)


def test_nobody_is_named(tmp_path: Path) -> None:
    assert public(tmp_path, []).settings.statement == Statement(purpose="P")


def test_private_sessions_and_lines_are_as_if_never_written(tmp_path: Path) -> None:
    journal = public(tmp_path, [])
    assert [session.day.day for session in journal.sessions] == [1, 3]
    first = journal.sessions[0]
    assert [line.parts for line in first.work] == [("front wheel",)]
    assert [str(p.price.amount) for p in first.purchases if p.price] == ["10", "20"]
    assert not first.measures
    assert set(journal.parts) == {"front wheel", "axle"}
    assert not journal.materials


def test_a_photograph_that_any_line_calls_private_is_gone_from_all(tmp_path: Path) -> None:
    journal = public(tmp_path, [])
    assert [photo.file for session in journal.sessions for photo in session.photos] == ["a.jpg", "c.jpg"]


def test_a_private_supplier_is_not_named(tmp_path: Path) -> None:
    journal = public(tmp_path, [])
    assert set(journal.suppliers) == {"Open Shop"}
    assert [p.party for p in journal.sessions[0].purchases] == ["Open Shop", None]


@pytest.mark.parametrize("kind", ["prices", "suppliers", "storage", "numbers", "hours"])
def test_each_kind_that_is_hidden_is_gone_and_nothing_else(tmp_path: Path, kind: str) -> None:
    journal = public(tmp_path, [kind])
    first, wheel = journal.sessions[0], journal.parts["front wheel"]
    seen = {
        "prices": any(p.price for p in first.purchases),
        "suppliers": bool(journal.suppliers) or any(p.party for p in first.purchases),
        "storage": wheel.stored is not None,
        "numbers": wheel.number is not None or journal.settings.machine.identity_number == "PQ-17-0031",
        "hours": first.minutes is not None or any(line.minutes for line in first.work),
    }
    assert seen == {name: name != kind for name in seen}


def test_an_identity_number_keeps_its_last_two_characters(tmp_path: Path) -> None:
    assert public(tmp_path, ["numbers"]).settings.machine.identity_number == "...31"
    assert masked("31") == "..."


def test_where_the_site_is_published_to_is_the_owners_business(tmp_path: Path) -> None:
    assert not public(tmp_path, []).settings.targets


def test_a_name_is_spelt_as_its_first_public_use_spells_it(tmp_path: Path) -> None:
    entries = {
        "entries/2024-01-01-a.md": "---\nprivate: yes\nparts: WHEEL-OfBob\n---\n",
        "entries/2024-01-02-b.md": "---\nwork:\n  - {part: LAMP-OfBob, private: yes}\n  - {part: lamp of bob}\n---\n",
        "entries/2024-01-03-c.md": "---\nparts: wheel of bob\n---\n",
    }
    journal = public_edition(read_journal(write_journal(tmp_path, entries)).journal)
    assert set(journal.parts) == {"wheel of bob", "lamp of bob"}


@pytest.mark.parametrize("day", ["2024-03-08", "2024-03-10"])
@pytest.mark.parametrize(
    "private",
    [
        "private: yes\nwork:\n  - {part: wheel, step: paint, material: varnish 2 tins}",
        "private: yes\nbought:\n  - {part: wheel, price: 3 GBP, from: Bob-Smith}",
        "private: yes\nparts: Bracket",
        "bought:\n  - {part: wheel, price: 3 GBP, from: Bob-Smith, private: yes}",
        "materials: [{use: varnish 2 tins, private: yes}]",
    ],
)
def test_no_private_name_changes_what_a_public_line_says(tmp_path: Path, private: str, day: str) -> None:
    settings = f"{SETTINGS}\n[editions.public]\nhide = []\n"
    public = {
        "entries/2024-03-09-a.md": """
            ---
            hours: 1
            materials: [varnish 2 tins, {use: oil, amount: 5 mL, private: yes}]
            sold: {part: wheel, price: 3 GBP, to: bob smith}
            ---

            ```pair
            part: bracket
            before: a.jpg
            ```
            """
    }
    found = []
    for n, more in enumerate(({}, {f"entries/{day}-b.md": f"---\nhours: 1\n{private}\n---\n"})):
        journal = public_edition(read_journal(write_journal(tmp_path / str(n), {**public, **more}, settings)).journal)
        found.append(next(session for session in journal.sessions if session.place.file == "entries/2024-03-09-a.md"))
    assert found[0] == found[1]
    assert [use.material for use in found[0].uses] == ["varnish"]


def test_a_public_page_does_not_tell_of_a_private_one_of_the_same_date_and_title(tmp_path: Path) -> None:
    entries = {
        "entries/a.md": "---\ndate: 2024-01-02\ntitle: Same\nprivate: yes\n---\n",
        "entries/b.md": "---\ndate: 2024-01-02\ntitle: Same\n---\n",
    }
    reading = read_journal(write_journal(tmp_path, entries))
    assert [session.page for session in public_edition(reading.journal).sessions] == ["2024-01-02-same"]
    assert [session.page for session in reading.journal.sessions] == ["2024-01-02-same-2", "2024-01-02-same"]
