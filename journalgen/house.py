"""Where the program's own themes and example lie: beside the package in a checkout, inside it in a wheel."""

from __future__ import annotations

from pathlib import Path
from typing import Final

_PACKAGE: Final = Path(__file__).resolve().parent


def themes_folder() -> Path:
    """The folder of the themes that come with the program."""
    return _find("themes")


def example_folder() -> Path:
    """The example journal that comes with the program."""
    return _find("content_example")


def _find(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
