"""The verbs: each parses its arguments, calls one function, and turns the outcome into text and an exit status.

0: done. 1: the journal has errors, or the work failed. 2: wrong usage. 130: interrupted from the keyboard.
Messages for people go to standard error, results to standard output. What a verb needs is imported
when it runs.
"""

from __future__ import annotations

import signal
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib import import_module
from typing import Any, Final

import click

from journalgen import __version__, interrupts
from journalgen.verbs.common import fail

_MODULES: Final = {
    "begin": "entries",
    "session": "entries",
    "intake": "intake",
    "inspect": "figures",
    "assemble": "site",
    "preview": "preview",
    "totals": "figures",
    "ready": "figures",
    "estimate": "figures",
    "calendar": "figures",
    "dossier": "dossier",
    "preserve": "preserve",
    "publish": "publish",
}
"""Every verb with the module of `verbs/` that has it."""


class _Loaded(Mapping[str, click.Command]):
    """The verbs by name; a module is loaded when one of its verbs is asked for."""

    def __getitem__(self, name: str) -> click.Command:
        verb: click.Command = getattr(import_module(f"journalgen.verbs.{_MODULES[name]}"), name)
        if _NO_COLOUR not in verb.params:
            verb.params.append(_NO_COLOUR)
        return verb

    def __iter__(self) -> Iterator[str]:
        return iter(_MODULES)

    def __len__(self) -> int:
        return len(_MODULES)


class _Verbs(click.Group):
    def make_context(self, *args: Any, **more: Any) -> click.Context:
        with _said_safely():
            return super().make_context(*args, **more)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            with _said_safely():
                return super().invoke(ctx)
        except KeyboardInterrupt:
            before = signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second one changes nothing
            try:
                fail(interrupts.SAID, interrupts.STATUS)
            finally:
                signal.signal(signal.SIGINT, before)


@contextmanager
def _said_safely() -> Iterator[None]:
    """What was typed wrong is repeated by the library that parses it, control characters and all."""
    try:
        yield
    except click.ClickException as fault:
        from journalgen.terminal import safe

        vars(fault)["message"] = safe(fault.message)  # declared final, but shown as it is
        raise


def _refuse_colour(context: click.Context, parameter: click.Parameter, refused: bool) -> None:
    if refused and not context.resilient_parsing:
        from journalgen.terminal import refuse_colour

        refuse_colour()


_NO_COLOUR = click.Option(
    ["--no-colour"], is_flag=True, is_eager=True, expose_value=False, callback=_refuse_colour,
    help="No colour and no drawn lines, as for a screen reader.",
)  # fmt: skip


@click.group(
    cls=_Verbs, commands=_Loaded(), context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80}
)
@click.version_option(__version__, message="%(prog)s %(version)s")
def main() -> None:
    """Keeps the record of a restoration: hours, money, materials, pictures, and a site to share.

    A journal is a folder with journal.toml and dated Markdown entries. JOURNAL is that folder, or
    the current one where it is left out. Begin with: journalgen begin my-machine
    """


main.params.append(_NO_COLOUR)
