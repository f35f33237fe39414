"""What comes with the program: themes and example, beside the package or inside it in a wheel, and its lore."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from journalgen.knowledge import trade
from journalgen.ledgers.cautions import Lore

_PACKAGE: Final = Path(__file__).resolve().parent


def themes_folder() -> Path:
    """The folder of the themes that come with the program."""
    return _find("themes")


def example_folder() -> Path:
    """The example journal that comes with the program."""
    return _find("content_example")


def trade_lore() -> Lore:
    """The cautions and statements that come with the program."""
    return Lore(trade.cautions(), trade.safety_notices(), trade.statements_of, trade.deferring())


def _find(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
