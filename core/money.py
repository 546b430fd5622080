"""Sums of money: a figure with the three letters of its currency. Never added across currencies.

The codes are those of ISO 4217 for money in use, without funds, metals and test codes. Codes and
the digits behind the point are from memory; tests/core/test_money.py compares the codes.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.utils.translation import gettext as _

from core.languages.words import number

_IN_USE = """
AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD
CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD
GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD
KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO
NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE
SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VED VES VND
VUV WST XAF XCD XCG XOF XPF YER ZAR ZMW ZWG
"""
CURRENCIES = frozenset(_IN_USE.split())
# Digits behind the point, where they are not two.
_NO_DIGITS = """
BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF
"""
_THREE_DIGITS = """
BHD IQD JOD KWD LYD OMR TND
"""
PLACES = dict.fromkeys(_NO_DIGITS.split(), 0) | dict.fromkeys(_THREE_DIGITS.split(), 3)


def currency_code(text: str) -> str:
    """The code in capitals; empty for empty text. Raises ValueError, in words for a form."""
    code = text.strip().upper()
    if code and code not in CURRENCIES:
        said = _("“{text}” is no currency of ISO 4217: three letters, such as EUR or SEK.")
        raise ValueError(said.format(text=text.strip()))
    return code


def places_of(currency: str) -> int:
    """How many digits a sum in `currency` has behind the point."""
    return PLACES.get(currency, 2)


def too_fine(amount: Decimal, currency: str) -> bool:
    """Whether `amount` has more digits behind the point than its currency."""
    return amount != amount.quantize(Decimal(1).scaleb(-places_of(currency)))


def figure(amount: Decimal, currency: str) -> str:
    """“1200.00”, the same in every language: for files that programs read."""
    return str(amount.quantize(Decimal(1).scaleb(-places_of(currency))))


def in_words(amount: Decimal, currency: str) -> str:
    """“1200.00 EUR”, without marks between thousands, which differ from country to country."""
    return f"{number(amount, places_of(currency))} {currency}"


def sums(worths: Iterable[tuple[Decimal, str]]) -> dict[str, Decimal]:
    """The sum of each currency, by its code in the order of the alphabet."""
    found: dict[str, Decimal] = {}
    for amount, currency in worths:
        found[currency] = found.get(currency, Decimal(0)) + amount
    return dict(sorted(found.items()))
