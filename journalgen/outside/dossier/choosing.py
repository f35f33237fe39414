"""Which photographs a dossier shows, and the number that each has in every dossier of its edition."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from journalgen.ledgers.pairs import Pair, Shot

MOST_OF_A_PART: Final = 6
"""Photographs that are shown of one part; the list holds all of them."""

MOST_TOGETHER: Final = 360
"""Photographs that are shown together, unless the pairs alone are more; so that paper and mail bear it."""

_PAIR: Final = 2


def number_shots(shots: Iterable[Shot]) -> dict[str, int]:
    """The number of each photograph, by its file, in order of time."""
    return {file: number for number, file in enumerate(dict.fromkeys(shot.photo.file for shot in shots), 1)}


def share_of(parts: int) -> int:
    """How many are shown of each of so many parts: never fewer than its before and after."""
    return min(MOST_OF_A_PART, max(_PAIR, MOST_TOGETHER // max(parts, 1)))


def choose_shots(shots: Sequence[Shot], pair: Pair | None, most: int) -> tuple[Shot, ...]:
    """Those of one part that are shown, in order of time.

    The pair comes first; the rest are spread evenly over what happened meanwhile.
    """
    every = list({shot.photo.file: shot for shot in reversed(shots)}.values())[::-1]
    if len(every) <= most:
        return tuple(every)
    wanted = [pair.before.photo.file, pair.after.photo.file] if pair else []
    chosen = [shot.photo.file for shot in every if shot.photo.file in wanted][:most]
    rest = [shot.photo.file for shot in every if shot.photo.file not in chosen]
    room = most - len(chosen)
    chosen += [rest[(2 * turn + 1) * len(rest) // (2 * room)] for turn in range(room)]
    return tuple(shot for shot in every if shot.photo.file in chosen)


def choose_for_parts(
    parts: Iterable[str], shots: Mapping[str, Sequence[Shot]], pairs: Mapping[str, Pair]
) -> dict[str, tuple[Shot, ...]]:
    """Those that are shown of each part that has any."""
    rows = {part: shots[part] for part in parts if shots.get(part)}
    most = share_of(len(rows))
    return {part: choose_shots(row, pairs.get(part), most) for part, row in rows.items()}


def spell_numbers(numbers: Iterable[int]) -> str:
    """`3, 7 to 9` as figures: `3, 7–9`."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        str(run[0]) if len(run) == 1 else f"{run[0]}{', ' if len(run) == _PAIR else '–'}{run[-1]}" for run in runs
    )
