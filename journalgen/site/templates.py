"""Loads a theme's templates and turns their faults into ours."""

from __future__ import annotations

import traceback
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined, TemplateNotFound, TemplateSyntaxError
from jinja2.bccache import Bucket
from jinja2.exceptions import TemplateError
from markupsafe import Markup

from journalgen.ledgers.quantities import plain
from journalgen.site.formats import Formats
from journalgen.site.words import Words, term


class ThemeFault(Exception):
    """A template that cannot be used: where, why, and what to do."""

    def __init__(self, file: str, line: int, message: str, remedy: str) -> None:
        super().__init__(f"{file}:{line}: {message} {remedy}")
        self.file = file
        self.line = line
        self.message = message
        self.remedy = remedy


class _Compiled(BytecodeCache):
    """Templates compiled in this process, so that a second edition, or a page shown again, need not do it anew.

    The library compares the source's checksum: a template that was changed is compiled again.
    """

    def __init__(self) -> None:
        self._held: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self._held:
            bucket.bytecode_from_string(self._held[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._held[bucket.key] = bucket.bytecode_to_string()


_COMPILED: Final = _Compiled()


class Templates:
    """The templates of one theme, speaking one journal's language."""

    def __init__(self, theme: Path, words: Words, formats: Formats) -> None:
        self._theme = theme
        self._environment = Environment(
            loader=FileSystemLoader(theme),
            autoescape=True,
            undefined=StrictUndefined,
            extensions=["jinja2.ext.i18n"],
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
            bytecode_cache=_COMPILED,
        )
        self._environment.install_gettext_callables(  # type: ignore[attr-defined]  # added by the extension
            words.gettext, words.ngettext, newstyle=True
        )
        self._environment.policies["ext.i18n.trimmed"] = True
        self._environment.filters.update(_filters(formats, words))
        self._environment.globals["home_currency"] = formats.home_currency

    def render(self, name: str, context: Mapping[str, object]) -> str:
        """The whole page that a template makes of its context."""
        try:
            return self._environment.get_template(name).render(context)
        except TemplateError as fault:
            raise self._explain(name, fault) from fault

    def mark(self, template: str, name: str, *values: object, **options: object) -> Markup:
        """One mark by itself, from a template's macro, for a place in a body."""
        try:
            macro: Any = getattr(self._environment.get_template(template).module, name)
            made: Markup = macro(*values, **options)
        except TemplateError as fault:
            raise self._explain(template, fault) from fault
        return made

    def _explain(self, name: str, fault: TemplateError) -> ThemeFault:
        if isinstance(fault, TemplateSyntaxError):
            return ThemeFault(
                fault.filename or name,
                fault.lineno,
                f"The template cannot be read: {fault.message}.",
                "Mend the line, or take the file from the theme that came with the program.",
            )
        if isinstance(fault, TemplateNotFound):
            return ThemeFault(
                str(self._theme / str(fault.name)),
                1,
                "The theme lacks this template.",
                "Copy it from the theme that came with the program.",
            )
        file, line = self._place_of(fault, name)
        return ThemeFault(
            file,
            line,
            f"The template asks for what the page does not have: {fault.message}.",
            "Mend the name, or take the file from the theme that came with the program.",
        )

    def _place_of(self, fault: TemplateError, name: str) -> tuple[str, int]:
        """The innermost line of the theme on the way to the fault."""
        own = [
            frame for frame in traceback.extract_tb(fault.__traceback__) if Path(frame.filename).parent == self._theme
        ]
        return (own[-1].filename, own[-1].lineno or 1) if own else (str(self._theme / name), 1)


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
