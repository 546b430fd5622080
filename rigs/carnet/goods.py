"""The goods of a carnet list: lines by case, sums, and what nobody has noted. Pure.

Sums of money are kept for each currency; what is not noted is counted and never guessed. That such
a list wants description, marks and numbers, pieces, weight, value and country of origin of each
item: Convention on Temporary Admission (Istanbul, 1990), Annex A, appendix I, the general list of
an ATA carnet; from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from core.countries import country_in_words
from core.languages.words import all_of, each_of
from core.money import figure, in_words, sums
from core.units import format_weight, plain, pounds
from rigs.lists.cases import by_case, some_of

NO_CASE = gettext_lazy("No case noted")
ADVICE = gettext_lazy(
    "A chamber of commerce issues a carnet, and customs offices decide what it covers. What the "
    "list must say, and in which language, is a local rule: ask yours before you travel."
)


class Picture(NamedTuple):
    """A photo of a thing: its id, that of the stored picture, of its rig, and what it shows."""

    id: str
    image: str
    rig: str
    alternative: str


@dataclass(frozen=True, slots=True)
class Goods:
    """One line. `what` is kind, size and make, `name` what the crew calls it, `worth` and `kg` are
    of all its pieces; None where they are not noted."""

    name: str
    what: str
    packed_in: str = ""
    pieces: int = 1
    serials: tuple[str, ...] = ()
    country: str = ""
    worth: Decimal | None = None
    currency: str = ""
    kg: Decimal | None = None
    size: str = ""
    has_size: bool = True  # False for what has no size of its own here
    photo: Picture | None = None
    address: str = ""
    number: int = 0
    numbered: bool = True  # False for what bears no serial number as a rule
    by_hand: str = ""  # the kind of a line that was written for this list

    @property
    def is_marked(self) -> bool:
        """Whether each piece that bears a serial number has it here."""
        return len(self.serials) >= self.pieces or not self.numbered

    @property
    def serials_in_words(self) -> str:
        named = each_of(self.serials)
        if len(self.serials) > self.pieces:
            return _("{pieces} of {serials}").format(pieces=self.pieces, serials=named)
        return named

    @property
    def origin(self) -> str:
        return country_in_words(self.country)

    @property
    def value(self) -> str:
        return "" if self.worth is None else in_words(self.worth, self.currency)

    @property
    def weight(self) -> str:
        return "" if self.kg is None else format_weight(self.kg)


class _Wanted(NamedTuple):
    """Something a line should have: what is said where lines have none, and whether one has it."""

    words: Any
    there: Callable[[Goods], bool]


WANTED = (
    _Wanted(
        ngettext_lazy(
            "{n} of {all} lines has no value: {names}.",
            "{n} of {all} lines have no value: {names}.",
            "n",
        ),
        lambda goods: goods.worth is not None,
    ),
    _Wanted(
        ngettext_lazy(
            "{n} of {all} lines has no country of origin: {names}.",
            "{n} of {all} lines have no country of origin: {names}.",
            "n",
        ),
        lambda goods: bool(goods.country),
    ),
    _Wanted(
        ngettext_lazy(
            "{n} of {all} lines has no serial number: {names}.",
            "{n} of {all} lines have no serial number: {names}.",
            "n",
        ),
        lambda goods: goods.is_marked,
    ),
    _Wanted(
        ngettext_lazy(
            "{n} of {all} lines has no weight: {names}.",
            "{n} of {all} lines have no weight: {names}.",
            "n",
        ),
        lambda goods: goods.kg is not None,
    ),
    _Wanted(
        ngettext_lazy(
            "{n} of {all} lines has no size: {names}.",
            "{n} of {all} lines have no size: {names}.",
            "n",
        ),
        lambda goods: bool(goods.size) or not goods.has_size,
    ),
    _Wanted(
        ngettext_lazy(
            "{n} of {all} lines has no photo: {names}.",
            "{n} of {all} lines have no photo: {names}.",
            "n",
        ),
        lambda goods: goods.photo is not None or not goods.has_size,
    ),
)


@dataclass(frozen=True, slots=True)
class Sums:
    """Pieces, kilograms as far as they are noted, money by currency, and lines without either."""

    pieces: int
    kg: Decimal | None
    worth: dict[str, Decimal]
    without_weight: int
    without_value: int

    @property
    def weight(self) -> str:
        known = "" if self.kg is None else format_weight(self.kg)
        return _joined(known, _without_weight(self.without_weight))

    @property
    def value(self) -> str:
        amounts = [in_words(amount, code) for code, amount in self.worth.items()]
        return _joined(all_of(amounts), _without_value(self.without_value))

    @property
    def in_words(self) -> str:
        pieces = ngettext("{n} piece", "{n} pieces", self.pieces).format(n=self.pieces)
        return _("; ").join([pieces, self.weight or _("no weight"), self.value or _("no value")])


def _joined(*parts: str) -> str:
    """“12 kg (26.5 lb), 2 lines without a weight”; what is empty is left out."""
    return _(", ").join(filter(None, parts))


def _without_weight(lines: int) -> str:
    words = ngettext("{n} line without a weight", "{n} lines without a weight", lines)
    return words.format(n=lines) if lines else ""


def _without_value(lines: int) -> str:
    words = ngettext("{n} line without a value", "{n} lines without a value", lines)
    return words.format(n=lines) if lines else ""


def sums_of(goods: Iterable[Goods]) -> Sums:
    lines = list(goods)
    weights = [each.kg for each in lines if each.kg is not None]
    worths = [(each.worth, each.currency) for each in lines if each.worth is not None]
    return Sums(
        pieces=sum(each.pieces for each in lines),
        kg=sum(weights, Decimal(0)) if weights else None,
        worth=sums(worths),
        without_weight=len(lines) - len(weights),
        without_value=len(lines) - len(worths),
    )


class Case(NamedTuple):
    """A case with its lines; `name` is NO_CASE for what has none."""

    name: str
    goods: list[Goods]
    sums: Sums


def in_cases(goods: Iterable[Goods]) -> list[Case]:
    """The lines by case, numbered through; what has no case comes last."""
    lines = list(goods)
    packed = by_case(lines)
    loose = [each for each in lines if not each.packed_in.strip()]
    numbered, at = [], 0
    for name, inside in [*packed.items(), *([(str(NO_CASE), loose)] if loose else [])]:
        counted = [replace(each, number=at + n) for n, each in enumerate(inside, start=1)]
        at += len(counted)
        numbered.append(Case(name, counted, sums_of(counted)))
    return numbered


def missing(goods: Sequence[Goods]) -> list[str]:
    """What lines lack, each counted: “3 of 24 lines have no value: Hi-hat, Ride, Echo.”"""
    said = []
    for wanted in WANTED:
        without = [each.name for each in goods if not wanted.there(each)]
        if without:
            words = wanted.words
            said.append(words.format(n=len(without), all=len(goods), names=some_of(without)))
    return said


HEADINGS = [
    gettext_lazy("No."),
    gettext_lazy("Case"),
    gettext_lazy("What"),
    gettext_lazy("Called"),
    gettext_lazy("Pieces"),
    gettext_lazy("Serial numbers"),
    gettext_lazy("Country of origin"),
    gettext_lazy("Value"),
    gettext_lazy("Currency"),
    gettext_lazy("Weight, kg"),
    gettext_lazy("Weight, lb"),
    gettext_lazy("Size"),
    gettext_lazy("Photo"),
]


def as_rows(cases: Sequence[Case]) -> list[list[str]]:
    """The list as a grid, headings first; below the lines of each case its sums, and at the end
    those of the list. Each currency has a line of its own."""
    rows = [[str(each) for each in HEADINGS]]
    for case in cases:
        rows += [_row(each) for each in case.goods]
        rows += _sum_rows(case.name, _("Sum of {name}").format(name=case.name), case.sums)
    everything = sums_of(each for case in cases for each in case.goods)
    return [*rows, *_sum_rows("", _("Sum of the list"), everything)]


def _row(goods: Goods) -> list[str]:
    worth = "" if goods.worth is None else figure(goods.worth, goods.currency)
    return [
        str(goods.number),
        goods.packed_in,
        goods.what,
        goods.name,
        str(goods.pieces),
        goods.serials_in_words,
        goods.origin,
        worth,
        goods.currency if worth else "",
        *_weights(goods.kg),
        goods.size,
        _("yes") if goods.photo else "",
    ]


def _weights(kg: Decimal | None) -> list[str]:
    return ["", ""] if kg is None else [plain(kg), plain(pounds(kg))]


def _sum_rows(case: str, what: str, sums: Sums) -> list[list[str]]:
    without = _joined(_without_weight(sums.without_weight), _without_value(sums.without_value))
    weights = _weights(sums.kg)
    first, *others = [[figure(amount, code), code] for code, amount in sums.worth.items()] or [
        ["", ""]
    ]
    empty = ["", case, what, "", "", "", ""]
    return [
        ["", case, what, without, str(sums.pieces), "", "", *first, *weights, "", ""],
        *([*empty, *money, "", "", "", ""] for money in others),
    ]


PAPER_HEADINGS = [
    gettext_lazy("No."),
    gettext_lazy("What"),
    gettext_lazy("Pieces"),
    gettext_lazy("Serial numbers"),
    gettext_lazy("Origin"),
    gettext_lazy("Value"),
    gettext_lazy("Weight"),
    gettext_lazy("Size"),
]


def paper_rows(goods: Iterable[Goods]) -> list[list[str]]:
    """The lines of one case, with what belongs together in one column."""
    return [
        [
            str(each.number),
            each.what if each.name in each.what else f"{each.what} ({each.name})",
            str(each.pieces),
            each.serials_in_words,
            each.origin,
            each.value,
            each.weight,
            each.size,
        ]
        for each in goods
    ]
