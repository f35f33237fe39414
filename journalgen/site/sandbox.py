"""Where templates run: the library's sandbox, which is asked the same thing a million times."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, Final

from jinja2.environment import TemplateModule
from jinja2.runtime import Context, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment

_BY_COMPILER: Final = frozenset({"_block_vars", "_loop_vars"})
"""What the library's compiler adds to a call."""

_MOST_WRITTEN: Final = 20_000


class Sandbox(ImmutableSandboxedEnvironment):
    """The library's sandbox, which asks only once of each kind of value and attribute whether it is safe.

    Its rules look at nothing else; a page asks some thousand times. A macro, which is the templates' own, is safe.
    What it writes of one plain value, such as a link, is written once where its file was imported without context:
    it then knows of nothing else.
    """

    def __init__(self, plain: Iterable[type], **options: Any) -> None:
        """`plain` are kinds of value of which equal ones are written alike."""
        super().__init__(**options)
        self._safe: set[tuple[type, str]] = set()
        self._plain = frozenset({str, int, bool, type(None), date, *plain})
        self._shared: set[Macro] = set()  # those of files of macros
        self._written: dict[tuple[Macro, type, Any], Any] = {}
        self._translate = self.globals["_"]
        self._said: dict[str, Any] = {}

    def getattr(self, obj: Any, attribute: str) -> Any:
        if (type(obj), attribute) in self._safe:
            try:
                found = getattr(obj, attribute)
            except AttributeError:
                return super().getattr(obj, attribute)
        else:
            found = super().getattr(obj, attribute)
        if type(found) is Macro and type(obj) is TemplateModule and found not in self._shared:
            self._share(found, obj)
        return found

    def _share(self, macro: Macro, file: TemplateModule) -> None:
        name = file.__name__
        if name and self.get_template(name).module is file:  # else it was imported with the context of one page
            self._shared.add(macro)

    def call(self, context: Context, called: Any, /, *args: Any, **named: Any) -> Any:
        if type(called) is Macro:
            named.pop("_block_vars", None)  # what a template sets where it calls; no macro of the library takes it
            named.pop("_loop_vars", None)
            if len(args) == 1 and not named and called in self._shared and type(args[0]) in self._plain:
                return self._write(context, called, args[0])
            return called(context.eval_ctx, *args, **named)
        if called is self._translate and named.keys() <= _BY_COMPILER and len(args) == 1 and type(args[0]) is str:
            return self._say(context, args[0])
        return super().call(context, called, *args, **named)

    def _write(self, context: Context, called: Macro, value: Any) -> Any:
        if not context.eval_ctx.autoescape:
            return called(context.eval_ctx, value)
        key = called, type(value), value
        found = self._written.get(key)
        if found is None:
            found = called(context.eval_ctx, value)
            if len(self._written) < _MOST_WRITTEN:
                self._written[key] = found
        return found

    def _say(self, context: Context, text: str) -> Any:
        if not context.eval_ctx.autoescape:
            return super().call(context, self._translate, text)
        found = self._said.get(text)
        if found is None:
            found = self._said[text] = super().call(context, self._translate, text)
        return found

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        found = super().is_safe_attribute(obj, attr, value)
        if found and not isinstance(obj, str):  # a text's methods are wrapped each time
            self._safe.add((type(obj), attr))
        return found
