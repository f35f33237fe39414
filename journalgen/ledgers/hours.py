"""The hours ledger: whose minutes a session's minutes were.

A session's minutes go first to the work lines that carry hours. What remains is shared equally, in
whole minutes, among the lines without hours and then the listed parts that no line names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from msgspec import Struct

from journalgen.ledgers.sharing import add_up, month_of, share_whole
from journalgen.problems import Problems
from journalgen.records import GENERAL, NO_ASSEMBLY, UNSPECIFIED, Part, Session, WorkLine

DAY: Final = 24 * 60
"""Minutes; a session is one sitting and cannot be longer."""


class HoursShare(Struct, frozen=True):
    """Whole minutes of one session that went to one part and one step."""

    session: Session
    part: str  # or (general)
    step: str  # or (unspecified)
    minutes: int
    line: WorkLine | None = None


class Hours(Struct, frozen=True):
    """Every share of every session. Each `by_` total adds up to `minutes`."""

    shares: tuple[HoursShare, ...]

    @property
    def minutes(self) -> int:
        return sum(share.minutes for share in self.shares)

    def _by(self, key: Callable[[HoursShare], str]) -> dict[str, int]:
        return add_up(self.shares, key, lambda share: share.minutes)

    def by_part(self) -> dict[str, int]:
        return self._by(lambda share: share.part)

    def by_step(self) -> dict[str, int]:
        return self._by(lambda share: share.step)

    def by_month(self) -> dict[str, int]:
        """Minutes by month, `2024-03`, in order of time."""
        return dict(sorted(self._by(lambda share: month_of(share.session.day)).items()))

    def by_assembly(self, parts: dict[str, Part]) -> dict[str, int]:
        """Minutes by the part's own assembly."""
        return self._by(lambda share: assembly_of(share.part, parts))

    def only(self, wanted: Callable[[HoursShare], bool]) -> Hours:
        """The ledger narrowed to the shares that are wanted."""
        return Hours(tuple(share for share in self.shares if wanted(share)))


def assembly_of(part: str, parts: dict[str, Part]) -> str:
    """The assembly that a part belongs to by its own row, or `(none)`."""
    found = parts.get(part)
    return found.assembly if found and found.assembly else NO_ASSEMBLY


def keep_hours(sessions: Iterable[Session], problems: Problems) -> Hours:
    """Shares out the minutes of each session; reports a session whose lines exceed it."""
    return Hours(tuple(share for session in sessions for share in share_session(session, problems)))


def share_session(session: Session, problems: Problems) -> list[HoursShare]:
    """The shares of one session, none of nought minutes; they add up to the session.

    A session whose lines claim more than its hours is an error; its own figure then counts, as
    general and unspecified, since which of the two is wrong cannot be known.
    """
    said = sum(line.minutes or 0 for line in session.work)
    total = session.minutes if session.minutes is not None else said
    if total > DAY:
        problems.error(
            session.place,
            "hours-over-a-day",
            f"The work lines add up to {spell(total)}, which is more than a day.",
            "One entry is one sitting; write an entry for each day.",
        )
    if said > total:
        problems.error(
            session.place,
            "hours-exceed-session",
            f"The work lines add up to {spell(said)}, but the session has {spell(total)}.",
            "Raise the session's hours or lower those of its lines.",
        )
        shares = [HoursShare(session, GENERAL, UNSPECIFIED, total)]
    else:
        shares = [*_lines_with_hours(session), *_remainder(session, total - said)]
    return [share for share in shares if share.minutes]


def _lines_with_hours(session: Session) -> list[HoursShare]:
    return [
        share for line in session.work if line.minutes is not None for share in _share_line(session, line, line.minutes)
    ]


def _share_line(session: Session, line: WorkLine, minutes: int) -> list[HoursShare]:
    parts = line.parts or (GENERAL,)
    step = line.step or UNSPECIFIED
    return [
        HoursShare(session, part, step, share, line)
        for part, share in zip(parts, share_whole(minutes, len(parts)), strict=True)
    ]


def _remainder(session: Session, minutes: int) -> list[HoursShare]:
    lines = [line for line in session.work if line.minutes is None]
    named = {part for line in session.work for part in line.parts}
    listed = [part for part in session.parts if part not in named]
    if not lines and not listed:
        return [HoursShare(session, GENERAL, UNSPECIFIED, minutes)]
    shares = share_whole(minutes, len(lines) + len(listed))
    return [
        *(s for line, share in zip(lines, shares, strict=False) for s in _share_line(session, line, share)),
        *(
            HoursShare(session, part, UNSPECIFIED, share)
            for part, share in zip(listed, shares[len(lines) :], strict=True)
        ),
    ]


def spell(minutes: int) -> str:
    """Minutes as a person says them in a message: `2 h 30 min`."""
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours and rest else f"{hours} h" if hours else f"{rest} min"
