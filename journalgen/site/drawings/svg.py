"""The few things that all drawings share: per cents, escaping, and grids of round figures."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from markupsafe import escape


def per_cent(share: Fraction | float) -> str:
    """A share of the width, 0 to 1, as an SVG length."""
    return f"{float(share) * 100:.2f}%"


def text(value: str) -> str:
    """A text safe inside an element or attribute."""
    return str(escape(str(value)))  # a quantity brings markup, which no drawing can hold


def round_step(span: Fraction, most: int) -> Decimal:
    """The smallest of 1, 2, 5 x 10^n that divides a span into at most so many steps.

    >>> round_step(Fraction(310), 4)
    Decimal('100')
    """
    step = Decimal(1)
    while Fraction(step) * most >= span and step > Decimal("0.0001"):
        step /= 10
    while Fraction(step) * most < span:
        step = next_step(step)
    return step.quantize(Decimal(1)) if step >= 1 else step


def next_step(step: Decimal) -> Decimal:
    """1, 2, 5, 10, 20, 50 ..."""
    return step * (Decimal("2.5") if step.normalize().as_tuple().digits == (2,) else 2)
