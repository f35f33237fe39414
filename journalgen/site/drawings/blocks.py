"""Blocks beside a session's hours: one a whole hour, drawn by the stylesheet."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

MOST_HOURS: Final = 12
"""Longer sittings draw no more blocks: the figure says it, and the row must not burst the card."""


def blocks(minutes: int) -> str:
    """The hours as a decimal number, for the width of the blocks: `3.25`."""
    return f"{min(Decimal(minutes) / 60, Decimal(MOST_HOURS)):.2f}"
