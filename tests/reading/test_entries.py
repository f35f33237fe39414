"""One entry's text to a session."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal

import pytest

from journalgen.problems import Problems
from journalgen.reading.entries import parse_entry
from journalgen.values import Duration, Money, Rectangle
from tests.journals import entry, rules


def test_the_least_that_a_tired_person_writes_is_read() -> None:
    session = entry("""
        ---
        date: 2024-03-09
        parts: front wheel, headlamp
        hours: 2.5
        materials: rust converter 120 mL, 320 grit paper 2 sheets
        ---
        Wheel came up well.
        """)
    assert session.day == date(2024, 3, 9)
    assert session.minutes == 150
    assert session.parts == ("front wheel", "headlamp")
    uses = [(use.material, use.amount.number, use.amount.unit) for use in session.uses if use.amount]
    assert uses == [("rust converter", Decimal(120), "mL"), ("320 grit paper", Decimal(2), "sheets")]
    assert session.body.strip() == "Wheel came up well."


def test_the_most_that_an_entry_holds_is_read() -> None:
    session = entry("""
        ---
        date: 2024-03-09
        start: 19:15
        title: First acid coat
        hours: 2:30
        parts: [front wheel, brake lever]
        work:
          - {part: front wheel, step: etch, coat: 1, hours: 1:30, material: rust converter, amount: 120 mL,
             air: 18 degC, humidity: 55 %, surface: 16.5 degC, wait: 48 h, note: thick scale near the hub}
          - {part: brake lever, step: trial fit, with: [brake shoe], result: clears the sleeper by 4 mm}
        bought:
          - {part: lamp glass, kind: used-spare, price: 18.50 EUR, postage: 6 EUR, paid: 21.40 GBP,
             from: Muster, ordered: 2024-02-11, arrived: 2024-03-04}
          - {material: zinc primer, amount: 1 L, count: 2, price: 31.90}
        sold:
          - {what: spare mudguard, price: 20, to: a neighbour}
        measures:
          - {part: axle, what: journal diameter, value: 34.981 mm, limits: 34.975 .. 35.000 mm, uncertainty: 0.004 mm}
        decisions:
          - {part: seat plank, do: make, why: rot; oak to the old pattern}
        found:
          - {part: frame, condition: rusted thin, severity: bad}
        photos:
          - {file: wheel.jpg, part: front wheel, shows: before, caption: as it came off}
          - {file: plate.jpg, hide: [[120, 80, 300, 90]]}
          - lamp.jpg
        private: no
        ---
        """)
    etch, fit = session.work
    assert (etch.parts, etch.step, etch.coat, etch.minutes) == (("front wheel",), "etch", 1, 90)
    assert (etch.air, etch.humidity, etch.surface, etch.wait) == (18, 55, Decimal("16.5"), Duration(2880))
    assert (fit.fitted_with, fit.result, fit.minutes) == (("brake shoe",), "clears the sleeper by 4 mm", None)
    glass, primer, sold = session.purchases
    assert (glass.kind, glass.paid, glass.party) == ("used spare", Money(Decimal("21.40"), "GBP"), "Muster")
    assert (primer.kind, primer.count, primer.price) == ("material", 2, Money(Decimal("31.90"), "GBP"))
    assert (sold.kind, sold.sign, sold.party) == ("sale", -1, "a neighbour")
    assert session.start == time(19, 15)
    assert session.measures[0].value.number == Decimal("34.981")
    assert session.decisions[0].do == "make"
    assert session.found[0].severity == "bad"
    assert session.photos[1].hide == (Rectangle(Decimal(120), Decimal(80), Decimal(300), Decimal(90), False),)
    assert [photo.shows for photo in session.photos] == ["before", "during", "during"]
    assert not session.private


def test_the_file_name_gives_date_and_title_where_the_front_matter_does_not() -> None:
    session = entry("Only a body.\n", file="entries/2024/2024-03-09-first-etch-coat.md")
    assert (session.day, session.title) == (date(2024, 3, 9), "First etch coat")


def test_the_front_matter_wins_over_the_file_name_and_says_so() -> None:
    problems = Problems()
    assert entry("---\ndate: 2024-03-10\n---\n", problems).day == date(2024, 3, 10)
    assert rules(problems) == ["date-differs"]


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_line_ends_do_not_matter(ends: str) -> None:
    from journalgen.reading.texts import decode

    text = decode(ends.join(["---", "hours: 1", "---", "A", "B"]).encode("utf-8-sig"), "x.md", Problems())
    assert text is not None
    session = entry(text)
    assert (session.minutes, session.body, session.body_line) == (60, "A\nB", 4)


@pytest.mark.parametrize(
    ("front", "rule", "line", "column"),
    [
        ("hours: 2h75", "hours", 2, 8),
        ("hours: 25", "hours-over-a-day", 2, 8),
        ("hours: -1", "hours-negative", 2, 8),
        ("date: 2024-02-30", "date", 2, 7),
        ("date: 09/03/2024", "date", 2, 7),
        ("start: 24:10", "time", 2, 8),
        ("private: perhaps", "yes-or-no", 2, 10),
        ("private:", "yes-or-no", 2, 9),
        ("privat: yes", "unknown-key", 2, 1),
        ("work:\n  - {part: a, step: b, hours: x}", "hours", 3, 31),
        ("work:\n  - {part: a, coat: 0}", "count", 3, 21),
        ("work:\n  - etch", "mapping", 3, 5),
        ("work:\n  - {part: a, step: b, private: ja}", "yes-or-no", 3, 33),
        ("materials: [{amount: 3 mL}]", "key-missing", 2, 13),
        ("materials: paint 1,5 L", "number", 2, 12),
        ("bought:\n  - {part: a, kind: usd spare, price: 3}", "word", 3, 21),
        ("bought:\n  - {part: a, price: 3 EURO}", "money", 3, 22),
        ("bought:\n  - {part: a, price: -3}", "money-negative", 3, 22),
        ("bought:\n  - {part: a, price: 3 EUR, paid: 3 EUR}", "paid-not-home", 3, 5),
        ("bought:\n  - {part: a, price: 3 EUR, postage: 2 USD, rate: 0.8}", "rate-unclear", 3, 5),
        ("bought:\n  - {part: a, price: 3, rate: 0}", "rate", 3, 31),
        ("bought:\n  - {part: a, count: 1.5, price: 3}", "count", 3, 22),
        ("sold:\n  - {part: a}", "key-missing", 3, 5),
        ("measures:\n  - {part: a, what: x, value: 3 mm, limits: 1 .. 2 kg}", "measure-units", 3, 5),
        ("measures:\n  - {part: a, what: x, value: wide}", "number", 3, 31),
        ("decisions:\n  - {part: a, do: paint}", "word", 3, 19),
        ("found:\n  - {part: a, condition: x, severity: awful}", "word", 3, 39),
        ("photos:\n  - {file: ../x.jpg}", "leads-out", 3, 12),
        ("photos:\n  - {file: /etc/x.jpg}", "leads-out", 3, 12),
        ("photos:\n  - {file: 'C:\\x.jpg'}", "leads-out", 3, 12),
        ("photos:\n  - {file: x.jpg, hide: [[1, 2, 3]]}", "hide", 3, 25),
        ("photos:\n  - {file: x.jpg, hide: }", "hide", 3, 25),
        ("photos:\n  - {file: x.jpg, hyde: [[1, 2, 3, 4]]}", "unknown-key", 3, 19),
        ("title: [a, b]", "text", 2, 8),
    ],
)
def test_each_fault_is_an_error_at_its_own_place(front: str, rule: str, line: int, column: int) -> None:
    problems = Problems()
    parse_entry(f"---\n{front}\n---\n", "entries/2024-03-09-x.md", "GBP", problems)
    errors = [problem for problem in problems.found if problem.is_error]
    assert [(p.rule, p.place.line, p.place.column) for p in errors] == [(rule, line, column)]
    assert errors[0].message.endswith(".")
    assert errors[0].remedy


def test_one_faulty_line_hides_neither_its_neighbours_nor_their_faults() -> None:
    problems = Problems()
    session = entry(
        """
        ---
        hours: 2
        work:
          - {part: a, step: etch, hours: 1}
          - {part: b, step: etch, hours: soon}
          - {part: c, step: etch, coat: none}
        ---
        """,
        problems,
    )
    assert [line.parts for line in session.work] == [("a",)]
    assert rules(problems) == ["hours", "number"]


def test_an_unknown_key_is_a_warning_with_the_nearest_key() -> None:
    problems = Problems()
    entry("---\nhuors: 2\n---\n", problems)
    assert [(p.rule, p.severity) for p in problems.found] == [("unknown-key", "warning")]
    assert "`hours`" in problems.found[0].remedy


def test_a_list_without_brackets_in_a_mapping_is_told_as_the_key_it_became() -> None:
    problems = Problems()
    session = entry("---\nwork:\n  - {part: axle, hub, step: clean}\n---\n", problems)
    assert session.work[0].parts == ("axle",)
    assert rules(problems) == ["unknown-key"]
    assert "`hub`" in problems.found[0].message
    assert "[one, hub]" in problems.found[0].remedy


def test_what_is_wrong_about_private_keeps_the_entry_private() -> None:
    assert entry("---\nprivate: maybe\n---\n", Problems()).private


@pytest.mark.parametrize(
    ("text", "rule"),
    [("---\nhours: 1\n", "front-matter-open"), ("---\n- a\n---\n", "mapping"), ("---\nhours: [\n---\n", "yaml")],
)
def test_an_entry_that_cannot_be_read_at_all_says_why(text: str, rule: str) -> None:
    problems = Problems()
    assert parse_entry(text, "entries/2024-03-09-x.md", "GBP", problems) is None
    assert rules(problems) == [rule]


@pytest.mark.parametrize(
    ("text", "file"),
    [
        ("Text.\n", "notes"),
        ("---\ndate:\nhours: 5\n---\n", "notes"),
        ('---\ndate: ""\n---\n', "notes"),
        ("", "2024-02-30-a"),
    ],
)
def test_an_entry_without_a_date_says_how_to_give_one(text: str, file: str) -> None:
    problems = Problems()
    assert parse_entry(text, f"entries/{file}.md", "GBP", problems) is None
    assert rules(problems) == ["date-missing"]


def test_ten_thousand_names_in_a_list_are_read_at_once() -> None:
    session = entry(f"---\nparts: [{', '.join(f'part {n}' for n in range(10_000))}]\n---\n")
    assert len(session.parts) == 10_000


@pytest.mark.parametrize(
    ("body", "rule"),
    [
        ("*a _b " * 6000, "text-too-marked"),
        ("[" * 10_001, "text-too-marked"),
        ("|a" * 150 + "\n" + "|-" * 150 + "\n" + "b\n" * 150, "table-too-large"),
    ],
)
def test_a_text_that_no_page_could_show_in_good_time_is_an_error(body: str, rule: str) -> None:
    found = Problems()
    entry(f"---\nhours: 1\n---\n\n{body}", found)
    assert [(problem.rule, problem.place.line) for problem in found.found if problem.is_error] == [(rule, 4)]


def test_a_long_text_and_a_long_table_are_none() -> None:
    entry("---\nhours: 1\n---\n" + "A day of *work* on the [wheel](part:wheel).\n\n" * 3000)
    entry("---\nhours: 1\n---\n" + "|a|b|\n|-|-|\n" + "|x|y|\n" * 1500)


def test_a_text_without_end_in_the_front_matter_is_an_error_where_it_stands() -> None:
    found = Problems()
    entry(f"---\nhours: 1\ntitle: {'x' * 20_001}\n---\n", found)
    assert [(problem.rule, problem.place.line) for problem in found.found] == [("text-long", 3)]


@pytest.mark.parametrize(
    "text",
    [
        "date: 2024-03-09\nprivate: yes\n---\nSecret.\n",
        "--\nprivate: yes\n--\nSecret.\n",
        "----\nprivate: yes\n---\nSecret.\n",
        "–––\nprivate: yes\n---\nSecret.\n",
        " ---\nprivate: yes\n---\nSecret.\n",
        "\n\nPrivate: yes\nSecret.\n",
        "hours: 2\n",
    ],
)
def test_front_matter_without_its_first_line_is_never_taken_for_text_to_show(text: str) -> None:
    found = Problems()
    assert parse_entry(text, "entries/2024-03-09-a.md", "GBP", found) is None
    assert [problem.rule for problem in found.found] == ["front-matter-unmarked"]


@pytest.mark.parametrize(
    "text", ["Found: a crack.\n", "A day of work: all well.\n", "* one\n* two\n", "# Title\n", "***\nx\n"]
)
def test_a_text_may_stand_alone_under_a_name_that_tells_the_day(text: str) -> None:
    found = Problems()
    session = parse_entry(text, "entries/2024-03-09-a.md", "GBP", found)
    assert session is not None
    assert session.body == text
    assert not found.found


def test_an_entry_with_nothing_in_it_is_said_to_be_so() -> None:
    found = Problems()
    assert parse_entry("\n", "entries/2024-03-09-a.md", "GBP", found) is not None
    assert rules(found) == ["entry-empty"]


@pytest.mark.parametrize(
    ("front", "line", "said"),
    [
        ("parts: wheel\n\thours: 2", 3, "There is a tab here."),
        ("title: x\n\thours: 2", 3, "There is a tab here."),
        ("title: Wheel: first coat", 2, "There is a colon too many on this line."),
        ("work: [{part: wheel, step: etch]", 2, "A brace { that was opened is not closed, or a comma is missing."),
        ("parts: [a, b", 3, "A bracket [ that was opened is not closed, or a comma is missing."),
        ("title: @home", 2, "No text can begin with @ without quotes."),
        ("hours 2\nparts: a", 3, "There is a colon too many on this line."),
    ],
)
def test_what_is_wrong_with_yaml_is_said_without_its_words(front: str, line: int, said: str) -> None:
    found = Problems()
    parse_entry(f"---\n{front}\n---\nText.\n", "entries/2024-03-09-a.md", "GBP", found)
    assert [(problem.place.line, problem.message) for problem in found.found] == [(line, said)]
