"""The part page and the index against the craft ledgers: coats, route, process, tags, forecast."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest
from lxml.html import HtmlElement
from msgspec.structs import replace

from journalgen.house import example_folder
from journalgen.ledgers.coats import build_of
from journalgen.reading.journal import read_journal
from journalgen.records import Journal, Session
from journalgen.site.matter import PUBLIC, Matter
from tests.ledgers.workshop import journal, part, square_metres, work
from tests.site.samples import edition, every, foot, of_class, one, rows, table, trees, words

DAYS = (date(2023, 12, 10), date(2024, 5, 1), date(2025, 5, 11), date(2025, 9, 30))


@cache
def example(on: date) -> tuple[Matter, dict[str, HtmlElement]]:
    matter = edition(read_journal(example_folder()).journal, on=on)
    return matter, trees(matter)


def axle(*sessions: Session, on: str, **more: object) -> HtmlElement:
    """The page of the axle, 1 m2, of the route `painted`."""
    kept = journal([part("axle", "painted", area=square_metres("1"), **more)], *sessions)
    return trees(edition(kept, on=date.fromisoformat(on)))["parts/axle.html"]


def section(page: HtmlElement, name: str) -> HtmlElement:
    return one(page, f"section[@aria-labelledby='{name}']")


BLAST = work("2024-01-09", "part: axle, step: blast", start="10:00")
PRIME = work("2024-01-12", "part: axle, step: prime, coat: 1, material: red primer, amount: 80 mL", start="10:00")
FIT = work("2024-03-01", "part: axle, step: fit")


@pytest.mark.parametrize("on", DAYS)
def test_the_table_and_the_drawing_of_coats_hold_the_ledgers_figures(on: date) -> None:
    matter, site = example(on)
    for name, coats in matter.figures.craft.coats.items():
        page, build = site[f"parts/{matter.part_slugs[name]}.html"], build_of(coats)
        if not build.laid:
            assert not every(page, "section[@aria-labelledby='coats']")
            continue
        of = section(page, "coats")
        shown = rows(table(of, "Coats on the"))
        assert [int(row[3].split()[0]) for row in shown] == [round(coat.film or 0) for coat in coats]
        assert [row[4] == "to come" for row in shown] == [coat.session is None for coat in coats]
        bands = every(of, "rect[contains(@class, 'band') or contains(@class, 'ghost')]")
        assert len(bands) == len(coats)
        assert [band.get("fill") for band in bands] == [
            matter.journal.materials[coat.material].colour for coat in coats if coat.material
        ]
        assert foot(table(of, "Coats on the"))[1] == f"{round(build.so_far or 0)} µm"
        assert words(one(of, "header/p")) == f"{build.laid} of {len(coats)} laid"


def test_a_film_that_is_not_known_is_drawn_as_asked_and_said_so() -> None:
    unsaid = work("2024-01-12", "part: axle, step: prime, material: red primer", start="10:00")
    of = section(axle(unsaid, on="2024-01-20"), "coats")
    assert rows(table(of, "Coats"))[0][2:4] == ["", "40 µm asked; not known"]
    assert len(every(of, "rect[contains(@class, 'guessed')]")) == 1
    assert "The film of one coat is not known" in words(one(of, "figure/figcaption"))
    assert "40 µm asked, 12 Jan 2024" in words(one(of, of_class("squared")))


def test_a_coat_of_which_nothing_is_known_says_so() -> None:
    bare = work("2024-01-12", "part: axle, step: prime, coat: 1", start="10:00")
    of = section(axle(bare, on="2024-01-20"), "coats")
    assert rows(table(of, "Coats"))[0][3] == "not known"
    assert not every(of, "tfoot")
    assert "How thick the film is so far is not known." in words(one(of, "figure/figcaption"))


def test_the_amount_of_a_line_on_several_parts_is_not_passed_off_as_this_parts_own() -> None:
    both = work("2024-01-12", "part: [axle, hub], step: prime, material: red primer, amount: 80 mL", start="10:00")
    shown = rows(table(axle(both, on="2024-01-20"), "Coats"))
    assert shown[0][2] == "80 mL with other parts"


@pytest.mark.parametrize("on", DAYS)
def test_the_route_shows_every_step_with_its_state(on: date) -> None:
    matter, site = example(on)
    forms = {"done": "done", "in hand": "done", "waiting": "waiting", "to do": "todo", "passed over": "over"}
    for name, progress in matter.figures.craft.progress.parts.items():
        page = site[f"parts/{matter.part_slugs[name]}.html"]
        shown = [li.get("data-at") for li in every(page, f"{of_class('route')}/li")]
        assert shown == [forms[step.state] for step in progress.steps]
        process = every(page, "section[@aria-labelledby='process']/header/p")
        if process and progress.position:
            assert words(process[0]).startswith(f"In step {progress.position} of {len(progress.steps)}")
        if process and progress.steps:
            assert f"{int(progress.share * 100)} % of the hours done" in words(process[0])


@pytest.mark.parametrize("on", DAYS)
def test_a_waiting_part_says_until_when_on_its_tag(on: date) -> None:
    matter, site = example(on)
    ready, zone = matter.figures.craft.readiness, matter.journal.settings.time_zone
    for wait in ready.waiting:
        until = ready.until(wait)
        assert until
        stamp = one(site[f"parts/{matter.part_slugs[wait.part]}.html"], of_class("stamp"))
        assert words(stamp) == f"State: waiting until {until.astimezone(zone).day} {until.astimezone(zone):%b}"


def test_until_names_the_year_where_it_is_another() -> None:
    primed = work("2024-12-30", "part: axle, step: prime, coat: 1, wait: 48 h", start="10:00")
    assert words(one(axle(primed, on="2024-12-31"), of_class("stamp"))) == "State: waiting until 1 Jan 2025"


def test_the_process_draws_waits_windows_bare_metal_and_coats_to_come() -> None:
    of = section(axle(BLAST, PRIME, on="2024-01-12"), "process")
    svg = one(of, f"{of_class('squared')}/svg")
    assert len(every(svg, "rect[@fill='url(#hatch-wait)']")) == 1
    assert len(every(svg, "rect[@class='w-open']")) == 1
    assert len(every(svg, "line[@class='l-green']")) == 1
    assert len(every(svg, "line[@class='l-red' and @stroke-dasharray]")) == 1
    assert words(one(svg, f"{of_class('t-red')}")) == "3 days"
    dashed = every(svg, "circle[@stroke-dasharray]")
    assert len(dashed) == 1
    legend = words(one(of, "figure/figcaption"))
    for said in ("wait", "window that closes at the bar", "stood bare too long", "coat to come", "day of assembly"):
        assert said in legend
    assert "window, while it was open" not in legend


def test_what_was_not_kept_stands_beneath_as_sentences() -> None:
    late = work("2024-02-15", "part: axle, step: enamel, material: gloss", start="10:00")
    soon = work("2024-02-16", "part: axle, step: enamel, material: gloss", start="09:00")
    of = section(axle(BLAST, PRIME, late, soon, on="2024-03-01"), "process")
    assert [words(p) for p in every(of, "p[span[@class='flag']]")] == [
        "Enamel too early on 16 Feb 2024: the wait after Enamel was over on 16 Feb 2024, 12:00.",
        "Enamel too late on 15 Feb 2024: the window after Primer closed on 19 Jan 2024, 12:00.",
        "Stood bare for 3 days between Blast and Primer; the step allows 8 h.",
    ]
    still = section(axle(BLAST, on="2024-01-20"), "process")
    assert words(every(still, "p[span[@class='flag']]")[0]) == (
        "Stood bare for 11 days since Blast; the step allows 8 h."
    )


@pytest.mark.parametrize("on", DAYS[:3])
def test_the_index_says_what_is_done_still_to_do_and_next(on: date) -> None:
    matter, site = example(on)
    craft = matter.figures.craft
    index = site["index.html"]
    facts = {words(one(div, "dt")): div for div in every(index, f"{of_class('opening')}/dl/div")}
    hours, minutes = divmod(craft.forecast.minutes_to_do, 60)
    assert words(one(facts["Still to do"], "span[@class='big']")) == f"{hours} h {minutes} min"
    assert craft.forecast.likely
    assert craft.forecast.safe
    for day in (craft.forecast.likely, craft.forecast.safe):
        assert f"{day:%B %Y}" in words(one(facts["Still to do"], "span[@class='aside']"))
        assert f"{day:%B %Y}" in one(facts["Still to do"], "svg").get("aria-label", "")
    shown = {row[0]: row for row in rows(table(index, "State of each assembly"))}
    for name, assembly in craft.progress.assemblies.items():
        assert shown[name][2] == f"{int(assembly.share * 100)} %"
        first = next((start for start in craft.readiness.can_start if start.part in assembly.parts), None)
        if first:
            assert shown[name][-1] == f"{first.part} {matter.journal.steps[first.step].label}"
        if assembly.share == 1:
            assert shown[name][-1] == "all fitted"


def test_a_finished_machine_says_so_in_one_line() -> None:
    _, site = example(DAYS[3])
    index = site["index.html"]
    assert "Still to do nothing: every part is fitted" in words(index)
    assert not every(section(index, "tonight"), "ul")
    assert words(one(section(index, "tonight"), "p")).startswith("Every part is fitted")


@pytest.mark.parametrize(
    ("kept", "reason"),
    [
        (journal([part("axle", "painted")], BLAST), "Weeks of record so far: 2; a forecast needs at least 8."),
        (journal([part("axle")], BLAST), "No part has a route, so it is not known what is still to do."),
    ],
)
def test_without_a_forecast_the_index_says_why(kept: Journal, reason: str) -> None:
    index = trees(edition(kept, on=date(2024, 1, 16)))["index.html"]
    facts = one(index, of_class("opening"))
    assert reason in words(facts)
    assert not every(facts, "svg")


def test_hours_are_not_given_away_by_shares_or_forecast_where_they_are_hidden() -> None:
    whole = journal([part("axle", "painted"), part("hub")], BLAST, PRIME)
    kept = replace(whole, settings=replace(whole.settings, hide=frozenset({"hours"})))
    site = trees(edition(kept, PUBLIC, on=date(2024, 1, 20)))
    index = site["index.html"]
    assert "Still to do" not in words(index)
    assert "Done 0 of 2 parts" in words(index)
    assert "%" not in words(index)
    assert "hours done" not in words(site["parts/axle.html"])
    assert words(one(section(site["parts/axle.html"], "process"), "header/p")) == "In step 5 of 8"


def test_the_public_edition_draws_only_public_coats() -> None:
    secret = work("2024-01-12", "part: axle, step: prime, material: red primer, amount: 80 mL, private: yes")
    kept = journal([part("axle", "painted", area=square_metres("1"))], BLAST, secret)
    site = trees(edition(kept, PUBLIC, on=date(2024, 1, 20)))
    assert not every(site["parts/axle.html"], "section[@aria-labelledby='coats']")
    assert "red primer" not in words(section(site["parts/axle.html"], "process"))
