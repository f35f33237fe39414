"""What comes with the program: themes and example, beside the package or inside it in a wheel, and its lore."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from journalgen.knowledge import trade
from journalgen.ledgers.cautions import Lore

_PACKAGE: Final = Path(__file__).resolve().parent


def themes_folder() -> Path:
    """The folder of the themes that come with the program."""
    return _find("themes")


def example_folder() -> Path:
    """The example journal that comes with the program."""
    return _find("content_example")


def trade_lore(gettext: Callable[[str], str] = str) -> Lore:
    """The cautions and statements that come with the program, in the language that `gettext` gives."""

    def said(cautions: Mapping[str, trade.Caution]) -> dict[str, trade.Caution]:
        return {
            key: replace(
                caution,
                title=gettext(caution.title),
                text=tuple(map(gettext, caution.text)),
                source=gettext(caution.source),
                defer=gettext(caution.defer),
            )
            for key, caution in cautions.items()
        }

    def statements_of(code: str) -> tuple[trade.Statement, ...]:
        return tuple(replace(found, text=gettext(found.text)) for found in trade.statements_of(code))

    return Lore(
        said(trade.cautions()),
        said(trade.safety_notices()),
        statements_of,
        gettext(trade.STATEMENTS),
        gettext(trade.deferring()),
    )


def _find(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
