"""Countries and currencies by their codes, and sums of money in them."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest

from core.countries import COUNTRIES, country_code, country_in_words
from core.money import CURRENCIES, currency_code, in_words, sums, too_fine
from core.units import format_weight

# Lists of the Debian package iso-codes, made from the standards by others.
LISTS = Path("/usr/share/iso-codes/json")
# In that package of 2023: what came since, and what is no money or has gone (from memory).
CAME = {"XCG", "ZWG"}
FUNDS = "BOV CHE CHW CLF COU MXV USN UYI UYW XDR XSU XUA"
METALS_AND_TESTS = "XAG XAU XPD XPT XBA XBB XBC XBD XTS XXX"
NOT_MONEY = {*FUNDS.split(), *METALS_AND_TESTS.split()}
GONE = {"ANG", "BGN", "CUC", "HRK", "SLL", "ZWL"}


def listed(name: str, code: str) -> set[str]:
    path = LISTS / f"iso_{name}.json"
    if not path.is_file():
        pytest.skip("The lists of iso-codes are not installed.")
    return {row[code] for row in json.loads(path.read_text())[name]}


def test_the_countries_are_those_of_the_standard() -> None:
    assert set(COUNTRIES) == listed("3166-1", "alpha_2")


def test_the_currencies_are_those_of_the_standard() -> None:
    assert listed("4217", "alpha_3") - NOT_MONEY - GONE | CAME == CURRENCIES


@pytest.mark.parametrize("text", ["se", " SE ", "sweden", "Sweden"])
def test_a_country_is_known_by_code_and_name(text: str) -> None:
    assert country_in_words(country_code(text)) == "SE, Sweden"


def test_what_is_no_code_is_refused() -> None:
    with pytest.raises(ValueError, match="“ZZ” is no country"):
        country_code("ZZ")
    with pytest.raises(ValueError, match="“Euro” is no currency"):
        currency_code("Euro")
    assert (country_code(" "), currency_code("")) == ("", "")
    assert currency_code(" sek ") == "SEK"


def test_digits_behind_the_point_are_those_of_the_currency() -> None:
    """ISO 4217: two for EUR, none for JPY, three for KWD; from memory."""
    assert in_words(Decimal("1200"), "EUR") == "1200.00 EUR"
    assert in_words(Decimal("1200"), "JPY") == "1200 JPY"
    assert in_words(Decimal("1.5"), "KWD") == "1.500 KWD"
    assert too_fine(Decimal("0.5"), "JPY")
    assert not too_fine(Decimal("0.5"), "EUR")


def test_currencies_are_never_added_together() -> None:
    worths = [(Decimal(5), "SEK"), (Decimal(2), "EUR"), (Decimal("0.5"), "EUR")]
    assert sums(worths) == {"EUR": Decimal("2.5"), "SEK": Decimal(5)}


@pytest.mark.parametrize(
    ("kilograms", "said"),
    [("1", "1 kg (2.2 lb)"), ("21.40", "21.4 kg (47.2 lb)"), ("0", "0 kg (0 lb)")],
)
def test_kilograms_and_pounds(kilograms: str, said: str) -> None:
    """NIST SP 811, appendix B.8: 1 lb is 0.453 592 37 kg, exactly; 1 kg is 2.204 62 lb."""
    assert format_weight(Decimal(kilograms)) == said
