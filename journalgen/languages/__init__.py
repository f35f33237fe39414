"""The interface's words in the languages there are: message catalogues beside this file, English in the code itself.

For each language two catalogues: `interface.*.po` holds what templates and pages say, `knowledge.*.po`
what the data files know (steps, cautions, statements). `python -m tests.catalogues` gathers new messages into them.
"""

from __future__ import annotations

import gettext
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Final

SOURCE: Final = "en"
"""The language in which messages are written; it needs no catalogue."""

LANGUAGES: Final = (SOURCE, "fr", "de", "it")
DOMAINS: Final = ("interface", "knowledge")


@cache
def load_words(language: str) -> gettext.NullTranslations:
    """The messages of a language; a message that it lacks stays English. Raises KeyError for a language not known."""
    if language == SOURCE:
        return gettext.NullTranslations()
    if language not in LANGUAGES:
        raise KeyError(language)
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    first: gettext.NullTranslations | None = None
    for domain in DOMAINS:
        compiled = BytesIO()
        with files(__name__).joinpath(f"{domain}.{language}.po").open("rb") as source:
            write_mo(compiled, read_po(source, locale=language))
        compiled.seek(0)
        words = gettext.GNUTranslations(compiled)
        if first is None:
            first = words
        else:
            first.add_fallback(words)
    assert first is not None  # noqa: S101 - there is at least one domain
    return first
