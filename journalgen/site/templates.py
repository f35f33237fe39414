"""Loads a theme's templates and turns their faults into ours."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, NoReturn

from jinja2 import BaseLoader, BytecodeCache, Environment, StrictUndefined, TemplateNotFound, TemplateSyntaxError
from jinja2.bccache import Bucket
from jinja2.exceptions import UndefinedError
from jinja2.loaders import split_template_path
from markupsafe import Markup

from journalgen import keeping
from journalgen.ledgers.quantities import plain
from journalgen.site.formats import Formats
from journalgen.site.sandbox import Sandbox
from journalgen.site.themes import DEFAULT, FILE, Theme, ThemeFault, read_file
from journalgen.site.words import Words, term


class _Compiled(BytecodeCache):
    """Templates that were compiled, so that a second edition, or another run, need not do it anew.

    The library compares the source's checksum: a template that was changed is compiled again.
    """

    def __init__(self) -> None:
        self._held: dict[str, bytes] = {}
        self._recalled = False
        self._changed = False  # since they were kept

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self._held:
            bucket.bytecode_from_string(self._held[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._held[bucket.key] = bucket.bytecode_to_string()
        self._changed = True

    def recall(self) -> None:
        """Brings in what an earlier run left; once in a process."""
        if not self._recalled:
            self._recalled = True
            self._held = (keeping.load(self._file, dict[str, bytes]) or {}) | self._held

    def keep(self) -> None:
        """Leaves what was compiled for the next run."""
        if self._changed:
            self._changed = False
            keeping.save(self._file, self._held)

    @property
    def _file(self) -> Path:
        # It holds code, so it lies where nobody but the user writes, and not in a journal, which may come from others.
        from platformdirs import user_cache_path

        return user_cache_path("journalgen", appauthor=False) / "templates"


COMPILED: Final = _Compiled()


class _Folders(BaseLoader):
    """Templates from the theme's folders, the theme's own before its parents'.

    `enamel/base.html` is the one in the folder of the theme enamel, for a template that extends the one it replaces.
    """

    def __init__(self, theme: Theme) -> None:
        self._theme = theme

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        path = self._find(split_template_path(template))
        if path is None:
            raise TemplateNotFound(template)
        contents = read_file(path)
        try:
            return contents.decode("utf-8-sig"), str(path), lambda: True
        except UnicodeDecodeError as fault:
            line = contents[: fault.start].count(b"\n") + 1
            raise ThemeFault(str(path), line, "The template is not UTF-8 text.", "Save it as UTF-8.") from None

    def _find(self, parts: list[str]) -> Path | None:
        for folder in self._theme.folders:
            if (found := folder.joinpath(*parts)).is_file():
                return found
        named = [folder for folder in reversed(self._theme.folders) if parts and folder.name == parts[0]]
        found_there = (folder.joinpath(*parts[1:]) for folder in named)
        return next((found for found in found_there if found.is_file()), None)


OPTIONS: Final[Mapping[str, Any]] = {
    "undefined": StrictUndefined,
    "extensions": ("jinja2.ext.i18n",),
    "trim_blocks": True,
    "lstrip_blocks": True,
    "auto_reload": False,
    "optimized": False,  # else a constant is put through a filter once, in the language of the first journal
}
"""How templates are read, whatever environment they stand in."""


class Templates:
    """The templates of one theme, speaking one journal's language."""

    def __init__(self, theme: Theme, words: Words, formats: Formats, plain: Iterable[type] = ()) -> None:
        """`plain` are kinds of value of which equal ones are always written alike."""
        self._theme = theme
        # A theme may have come from somebody else: its templates get at what the pages hold, not at the machine.
        self._environment = Sandbox(plain, loader=_Folders(theme), autoescape=True, bytecode_cache=COMPILED, **OPTIONS)
        self._environment.install_gettext_callables(  # type: ignore[attr-defined]  # added by the extension
            words.gettext, words.ngettext, newstyle=True
        )
        self._environment.policies["ext.i18n.trimmed"] = True
        self._environment.filters.update(_filters(formats, words))
        self._environment.globals["home_currency"] = formats.home_currency
        self._environment.globals["theme"] = {"drawings": theme.drawings, "pictures": theme.pictures}

    @property
    def environment(self) -> Environment:
        """What they are rendered in."""
        return self._environment

    @property
    def files(self) -> frozenset[str]:
        """What the theme brings into the site as it is, by name."""
        return frozenset(self._theme.files)

    def render(self, name: str, context: Mapping[str, object]) -> str:
        """The whole page that a template makes of its context. Raises ThemeFault."""
        try:
            return self._environment.get_template(name).render(context)
        except Exception as fault:
            self._explain(name, fault)

    def macro(self, template: str, name: str, *values: object, **options: object) -> Markup:
        """One mark by itself, from a template's macro, for a place in a body. Raises ThemeFault."""
        try:
            macro: Any = getattr(self._environment.get_template(template).module, name)
            made: Markup = macro(*values, **options)
        except Exception as fault:
            self._explain(template, fault)
        return made

    def _explain(self, name: str, fault: Exception) -> NoReturn:
        """The fault as one of the theme's; one that did not arise in a template is none of its, and goes on as it is.

        A template is the person's own, and can go wrong in any way that an expression can.
        """
        if isinstance(fault, ThemeFault):
            raise fault
        if isinstance(fault, TemplateSyntaxError):
            message, remedy = f"The template cannot be read: {_sentence(fault.message)}", _MEND_LINE
            raise ThemeFault(fault.filename or name, fault.lineno, message, remedy) from fault
        place = self._place_of(fault)
        if isinstance(fault, TemplateNotFound):
            raise self._lacking(fault, place) from fault
        if place is None:
            raise fault
        if isinstance(fault, UndefinedError):
            message = f"The template asks for what the page does not have: {_sentence(fault.message)}"
            remedy = _MEND_NAME
        elif isinstance(fault, RecursionError):
            message, remedy = "The template comes back to itself without end.", _MEND_RING
        else:
            said = _sentence(f"{type(fault).__name__}: {fault}" if str(fault) else type(fault).__name__)
            message, remedy = f"The line could not be worked out: {said}", _MEND_LINE
        raise ThemeFault(*place, message, remedy) from fault

    def _lacking(self, fault: TemplateNotFound, place: tuple[str, int] | None) -> ThemeFault:
        missing = self._theme.folder / str(fault.name)
        if len(self._theme.folders) > 1:
            remedy = "Mend the name where it is asked for, or put the file there."
        else:
            remedy = f'Copy it from the theme that came with the program, or write parent = "{DEFAULT}" in {FILE}.'
        if place is None:
            return ThemeFault(str(missing), 1, "The theme lacks this template.", remedy)
        return ThemeFault(*place, f"The theme lacks the template {fault.name}.", remedy)

    def _place_of(self, fault: BaseException) -> tuple[str, int] | None:
        """The innermost line of the theme on the way to the fault; None where none is on it."""
        found = None
        for frame, line in traceback.walk_tb(fault.__traceback__):
            file = frame.f_code.co_filename
            if any(Path(file).is_relative_to(folder) for folder in self._theme.folders):
                found = file, line
        return found


_FROM_THE_FIRST: Final = "or take the file from the theme that came with the program."
_MEND_LINE: Final = f"Mend the line, {_FROM_THE_FIRST}"
_MEND_NAME: Final = f"Mend the name, {_FROM_THE_FIRST}"
_MEND_RING: Final = (
    "A template that replaces another extends it by its theme's name, as in "
    f'"{DEFAULT}/base.html"; a macro that calls itself must end.'
)


def _sentence(text: str | None) -> str:
    return f"{(text or 'no reason is given').rstrip('.')}."


def _filters(formats: Formats, words: Words) -> dict[str, Any]:
    return {
        "long": formats.long,
        "short": formats.short,
        "near": formats.near,
        "month": formats.month,
        "weekday": formats.weekday,
        "clock": formats.clock,
        "hours": formats.hours,
        "in_column": formats.hours_in_column,
        "span": formats.span,
        "number": formats.number,
        "amount": formats.amount,
        "film": formats.film,
        "unit": formats.unit,
        "temperature": formats.temperature,
        "per_cent": formats.per_cent,
        "round_down": lambda number: Decimal(int(number)),  # a share is never shown larger than it is
        "limits": formats.limits,
        "home": formats.home,
        "money": formats.money,
        "rate": formats.rate,
        "listing": formats.listing,
        "bare": lambda figure: plain(Fraction(figure)),
        "term": lambda text: term(text, words),
    }
