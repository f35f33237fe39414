"""The ledgers of one edition, sorted as pages ask for them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import cached_property
from itertools import groupby
from typing import Final

from journalgen.ledgers.assemblies import Assembly, list_assemblies
from journalgen.ledgers.conditions import Conditions
from journalgen.ledgers.decisions import keep_decisions
from journalgen.ledgers.highlights import opening_shot
from journalgen.ledgers.milestones import Completion, Fitting, find_completions, find_fittings
from journalgen.ledgers.pairs import Pair, Shot
from journalgen.ledgers.part_records import PartRecord, needed_by, part_records
from journalgen.ledgers.session_records import SessionRecord, session_records
from journalgen.ledgers.sources import Source, list_sources
from journalgen.ledgers.spending import money_by_assembly
from journalgen.ledgers.step_records import StepRecord, step_records
from journalgen.ledgers.years import hours_by_assembly_and_month
from journalgen.pictures.model import Picture
from journalgen.problems import Problem
from journalgen.site.matter import Matter
from journalgen.slugs import key, slugs
from journalgen.values import Body

LONG: Final = 2000
"""Letters of a long body."""


class Index:
    """The ledgers of one edition sorted by part, session, assembly and photograph; each made once, when first asked."""

    def __init__(self, matter: Matter) -> None:
        self._matter = matter

    @cached_property
    def parts(self) -> dict[str, PartRecord]:
        figures = self._matter.figures
        return part_records(figures.sessions, figures.hours, figures.money, figures.stock)

    @cached_property
    def problems(self) -> dict[str, tuple[Problem, ...]]:
        """Those of each file of the journal."""
        return {file: tuple(row) for file, row in groupby(self._matter.problems, lambda problem: problem.place.file)}

    @cached_property
    def decisions(self) -> dict[str, str]:
        """What shall become of each part of which that is known."""
        return keep_decisions(self._matter.figures.sessions, self._matter.journal.parts)

    @cached_property
    def last_steps(self) -> dict[str, str]:
        """The step last done on each part."""
        lines = (line for session in self._matter.figures.sessions for line in session.work)
        return {part: line.step for line in lines if line.step for part in line.parts}

    @cached_property
    def done_steps(self) -> dict[str, None]:
        """The steps that were done, by key, and no more than that: every page that links to one asks."""
        lines = (line for session in self._matter.figures.sessions for line in session.work)
        return dict.fromkeys(line.step for line in lines if line.step)

    @cached_property
    def sessions(self) -> dict[str, SessionRecord]:
        """By page, in order of time."""
        figures = self._matter.figures
        return session_records(figures.sessions, figures.hours, figures.money)

    @cached_property
    def assemblies(self) -> tuple[Assembly, ...]:
        return list_assemblies(self._matter.journal.parts)

    @cached_property
    def needed_by(self) -> dict[str, list[str]]:
        return needed_by(self._matter.journal.parts)

    @cached_property
    def minutes_by_part(self) -> dict[str, int]:
        return self._matter.figures.hours.by_part()

    @cached_property
    def minutes_by_assembly(self) -> dict[str, int]:
        return self._matter.figures.hours.by_assembly(self._matter.journal.parts)

    @cached_property
    def minutes_by_assembly_and_month(self) -> dict[str, dict[str, int]]:
        return hours_by_assembly_and_month(self._matter.figures.hours, self._matter.journal.parts)

    @cached_property
    def money_by_assembly(self) -> dict[str, Decimal]:
        return money_by_assembly(self._matter.figures.money, self._matter.journal.parts)

    @cached_property
    def steps(self) -> dict[str, StepRecord]:
        """The steps that were done, by key."""
        return step_records(self._matter.figures.sessions, self._matter.figures.hours)

    @cached_property
    def waiting_until(self) -> dict[str, date]:
        """The day on which each waiting part may go on, in the journal's zone."""
        ready, zone = self._matter.figures.craft.readiness, self._matter.journal.settings.time_zone
        found = ((wait.part, ready.until(wait)) for wait in ready.waiting)
        return {part: until.astimezone(zone).date() for part, until in found if until}

    @cached_property
    def conditions(self) -> dict[str, Conditions]:
        """The conditions of each coat, by the place of its line."""
        return {str(found.line.place): found for found in self._matter.figures.craft.conditions}

    @cached_property
    def fittings(self) -> tuple[Fitting, ...]:
        figures = self._matter.figures
        return find_fittings(figures.events, figures.states, self._matter.journal.steps)

    @cached_property
    def completions(self) -> tuple[Completion, ...]:
        return find_completions(self.assemblies, self.fittings)

    @cached_property
    def opening(self) -> Shot | None:
        """The photograph that stands for the machine."""
        found = self._matter.pictures
        return opening_shot(self._matter.figures.sessions, lambda file: isinstance(found.get(file), Picture))

    @property
    def matter(self) -> Matter:
        return self._matter

    @cached_property
    def bodies(self) -> dict[str, Body]:
        """What each session says, by its page."""
        return {session.page: session.body for session in self._matter.figures.sessions}

    @cached_property
    def lengths(self) -> dict[str, int]:
        """How many times `LONG` letters a session says that says as much, by its page."""
        return {page: len(body) // LONG for page, body in self.bodies.items() if len(body) >= LONG}

    @cached_property
    def captions(self) -> dict[str, int]:
        """How many photographs of each session have a caption and a picture, by its page."""
        found = self._matter.pictures
        return {
            session.page: sum(1 for p in session.photos if p.caption and isinstance(found.get(p.file), Picture))
            for session in self._matter.figures.sessions
        }

    @property
    def pairs(self) -> Mapping[str, Pair]:
        """The pair of each part that has one."""
        return self._matter.figures.pairs

    @cached_property
    def shots(self) -> dict[str, Shot]:
        """Every photograph by its file, with the first session that shows it."""
        found: dict[str, Shot] = {}
        for session in self._matter.figures.sessions:
            for photo in session.photos:
                found.setdefault(photo.file, Shot(session, photo))
        return found

    @cached_property
    def part_names(self) -> dict[str, str]:
        """Parts by what a reference may call them: their spelling, their other names, and their page's name."""
        found: dict[str, str] = {}
        for name, part in self._matter.journal.parts.items():
            for called in (name, *part.also_called, self._matter.part_slugs.get(name, name)):
                found.setdefault(key(called), name)
        return found

    @cached_property
    def session_pages(self) -> dict[str, str]:
        """Sessions by what a reference may call them: their page, or their day; the first of a day has it."""
        found = {page: page for page in self.sessions}
        for page, record in self.sessions.items():
            found.setdefault(record.session.day.isoformat(), page)
        return found

    @cached_property
    def assembly_ids(self) -> dict[str, str]:
        return {name: f"assembly-{found}" for name, found in slugs(a.name for a in self.assemblies).items()}

    @cached_property
    def sources(self) -> tuple[Source, ...]:
        return list_sources(self._matter.figures.money, self._matter.journal.suppliers)

    @cached_property
    def source_ids(self) -> dict[str, str]:
        names = slugs(source.name for source in self.sources if source.name)
        return {name: f"source-{found}" for name, found in names.items()}

    @cached_property
    def material_ids(self) -> dict[str, str]:
        return {name: f"material-{found}" for name, found in slugs(self._matter.figures.stock.materials).items()}
