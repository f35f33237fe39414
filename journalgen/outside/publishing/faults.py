"""What can go wrong at a target, in a sentence to a person."""

from __future__ import annotations


class CannotPublish(Exception):
    """The site was not, or not wholly, sent; the text says what is wrong and what to do."""


class Dropped(Exception):
    """The line to the target was lost; another attempt may fare better. The text says how it was lost."""
