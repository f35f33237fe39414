"""What a time zone tells of its country: how dates are written there, and which money is paid with."""

from __future__ import annotations

from typing import Final

_AT_HOME: Final = {"en": "en_GB"}


def territory_of(zone: str) -> str | None:
    """The country of a time zone, as its ISO 3166 code; None for a zone of none, such as UTC."""
    from babel.core import get_global

    code = get_global("zone_territories").get(zone, "")
    return code if len(code) == 2 and code.isalpha() and code != "ZZ" else None


def locale_of(language: str, zone: str) -> str:
    """How a language is written in the country of a zone, `en_US`; where it is not spoken there, as at home."""
    from babel import Locale, UnknownLocaleError

    territory = territory_of(zone)
    try:
        here = Locale.parse(f"{language}_{territory}") if territory else None
    except (UnknownLocaleError, ValueError):
        here = None
    return str(here) if here else _AT_HOME.get(language, language)


def currency_of(zone: str) -> str | None:
    """The money of the country of a zone, as its ISO 4217 code."""
    from babel.numbers import get_territory_currencies

    from journalgen.knowledge import currencies

    territory = territory_of(zone)
    found = get_territory_currencies(territory) if territory else []
    return next((code for code in found if code in currencies()), None)
