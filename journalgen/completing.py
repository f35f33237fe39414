"""What a shell may complete after a verb: names of the registers, themes, words. Quick, and silent on every fault.

A shell asks at the press of a key: no library is loaded, and only the first letters of the registers'
lines are looked at. Names are offered with hyphens for their spaces, which stand for the same and
need no quotes.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Final

import click
from click.shell_completion import split_arg_string

from journalgen.program import program_folders
from journalgen.slugs import key

Complete = Callable[[click.Context, click.Parameter, str], list[str]]

_LARGEST: Final = 2_000_000  # bytes; a register of more takes longer than one waits for
_ROW: Final = re.compile(r"""(?:"([^"\\\n]+)"|'([^'\n]+)'|([^\s#'"\[\]{}&*!|>%@`?,-][^:#\n]*?))[ \t]*:(?=\s|$)""")
_NEEDS_NO_QUOTES: Final = re.compile(r"[\w.+%/-]+")
_THEME: Final = "theme.toml"
_SETTINGS: Final = "journal.toml"
_TARGET: Final = re.compile(r"^[ \t]*\[[ \t]*targets[ \t]*\.[ \t]*([\w-]+)[ \t]*\]", re.M)


def _silent(complete: Complete) -> Complete:
    def guarded(context: click.Context, parameter: click.Parameter, typed: str) -> list[str]:
        try:
            return complete(context, parameter, typed)
        except Exception:  # what fails here would be printed into the line that someone is typing
            return []

    return guarded


def names_of(register: str, *, several: bool = False) -> Complete:
    """Completes a name of a register, `parts` or `materials`; with `several`, of those between commas the last."""

    def complete(context: click.Context, parameter: click.Parameter, typed: str) -> list[str]:
        before, comma, piece = typed.rpartition(",") if several else ("", "", typed)
        if comma and _shell() == "fish":  # which takes what follows a comma for a remark
            return []
        names = (name.replace(" ", "-") for name in _rows(_journal(context) / "register" / f"{register}.yaml"))
        fitting = (name for name in names if key(name).startswith(key(piece)))
        return [f"{before}{comma}{name}" for name in fitting if _NEEDS_NO_QUOTES.fullmatch(name)]

    return _silent(complete)


def words_of(find: Callable[[], Iterable[str]]) -> Complete:
    """Completes one of a few words, which are found when they are asked for."""
    return _silent(lambda context, parameter, typed: [word for word in find() if word.startswith(typed.casefold())])


def complete_themes(context: click.Context, parameter: click.Parameter, typed: str) -> list[str]:
    """Names of themes: the journal's own, and the program's."""
    package, beside = program_folders()
    homes = (_journal(context) / "themes", Path(package) / "themes", Path(beside))
    found = {path.parent.name for home in homes for path in home.glob(f"*/{_THEME}")}
    return sorted(name for name in found if name.startswith(typed))


def complete_targets(context: click.Context, parameter: click.Parameter, typed: str) -> list[str]:
    """Names of the targets in the settings."""
    text = (_journal(context) / _SETTINGS).read_text(encoding="utf-8-sig")
    return sorted({name for name in _TARGET.findall(text) if name.startswith(typed)})


TARGETS: Final = _silent(complete_targets)
THEMES: Final = _silent(complete_themes)
PART: Final = names_of("parts")
PARTS: Final = names_of("parts", several=True)
MATERIAL: Final = names_of("materials")
MATERIALS: Final = names_of("materials", several=True)


def _journal(context: click.Context) -> Path:
    """The journal that was named before, else the current folder.

    Behind an option whose value is missing, as the one is that is being typed, arguments are not told apart yet.
    """
    words = split_arg_string(os.environ.get("COMP_WORDS", ""))
    named = (str(context.params.get("journal") or "."), *words[2:])
    return next((Path(word) for word in named if word != "." and (Path(word) / _SETTINGS).is_file()), Path("."))


def _rows(file: Path) -> Iterator[str]:
    """The keys at the left edge of a register."""
    if file.stat().st_size > _LARGEST:
        return
    text = file.read_text(encoding="utf-8-sig")
    for line in text.split("\n"):
        if found := _ROW.match(line):
            yield next(filter(None, found.groups()))


def _shell() -> str:
    return os.environ.get("_JOURNALGEN_COMPLETE", "").partition("_")[0]
