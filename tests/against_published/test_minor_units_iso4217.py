"""Minor units against ISO 4217, list one, as the package iso4217 carries it (the maintenance agency's table)."""

from __future__ import annotations

from iso4217 import Currency

from journalgen.knowledge import currencies


def test_every_current_currency_has_its_published_minor_unit() -> None:
    published = {currency.code: currency.exponent for currency in Currency if currency.exponent is not None}
    assert len(published) > 150
    ours = currencies()
    assert {code: ours.get(code) for code in published} == published


def test_what_has_no_minor_unit_there_is_no_money_here() -> None:
    without = [currency.code for currency in Currency if currency.exponent is None]
    assert "XAU" in without
    assert not [code for code in without if code in currencies()]
