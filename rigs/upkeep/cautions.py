"""The usual cautions for changing what wears. None of them replaces a qualified person. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from core.languages.words import each_of, retold
from rigs.cautions import AT_FIGURE, HEARING, LIFTING, OVERHEAD, RIBBON, Caution
from rigs.gear import GEAR

CAUTIONS = {
    "valve": Caution(
        gettext_noop("Valves"),
        gettext_noop(
            "Valve amplifiers hold dangerous voltages long after they are switched off. Unplugged, "
            "cooled down and discharged by a qualified technician, who also sets the bias: the "
            "inside is not for anybody else."
        ),
    ),
    "fuse": Caution(
        gettext_noop("Fuses"),
        gettext_noop(
            "Pull the mains plug first. Same type and same rating only, never a larger one and "
            "never a bridge. A fuse that goes again is a fault: leave it off and ask a qualified "
            "technician."
        ),
    ),
}
BATTERY = Caution(
    gettext_noop("Batteries"),
    gettext_noop(
        "Change all cells of a device together, same type and age, the right way round. Never "
        "charge one that is not made for it; take out what leaks or runs flat, and what is stored. "
        "Hand in the old ones by local rules; the maker’s sheet has the last word."
    ),
)
LITHIUM = Caution(
    gettext_noop("Lithium cells"),
    gettext_noop(
        "The charger made for them, no crushed, swollen or hot cell is used or carried, contacts "
        "covered. Airlines want spares in the cabin and limit their size; the carrier’s rules have "
        "the last word."
    ),
)
# Words, and the letters of lithium systems in front of a size: CR2032, ER14505 (IEC 60086-1, from
# memory).
_LITHIUM = re.compile(r"lithium|\bli[- ]?(?:ion|po|poly|fe)|lipo|\b[CE]R\d", re.IGNORECASE)
# L and S in front of R: alkaline and silver oxide, by the same standard; H: nickel-metal hydride.
_OTHERS = re.compile(
    r"alkaline|zinc|carbon|silver oxide|\bni[- ]?(?:mh|cd)|nickel|\b\d*[LSH]R\d", re.IGNORECASE
)

_AT_FIGURE = re.compile(r" at \d\S* \S")


def cautions_for(spares: Iterable[tuple[str, str]]) -> list[Caution]:
    """Each caution once, in one order. A spare is its sort and what exactly it is in words."""
    cautions = {caution for sort, what in spares for caution in _of(sort, what)}
    in_order = (*CAUTIONS.values(), BATTERY, LITHIUM)
    return [_translated(caution) for caution in in_order if caution in cautions]


def caution_for(sort: str, what: str) -> Caution | None:
    """The caution for one spare, two joined into one; None where there is nothing."""
    found = _of(sort, what)
    if not found:
        return None
    first, *others = map(_translated, found)
    if not others:
        return first
    return first._replace(
        text=_("{caution} If they are lithium: {lithium}").format(
            caution=first.text, lithium=others[0].text
        )
    )


def text_retold(text: str) -> str:
    """Cautions that were stored in English, each in the language of the reader."""
    for caution in _texts():
        text = text.replace(caution, _(caution))
    return text


def about_retold(about: str) -> str:
    """What they are about: “Fuses of Head, Cabinet at 34 kg”."""
    return each_of(map(_thing_retold, about.split(", ")))


def _thing_retold(thing: str) -> str:
    for caution in (*CAUTIONS.values(), BATTERY, LITHIUM):
        unit = thing.removeprefix(f"{caution[0]} of ")
        if unit != thing:
            return _("{caution} of {unit}").format(caution=caution.title, unit=unit)
    return retold(thing, [AT_FIGURE]) if _AT_FIGURE.search(thing) else thing


@cache
def _texts() -> list[str]:
    """In English. The longest first: another may be a part of it."""
    of_gear = {text for gear in GEAR.values() for text in gear.cautions}
    here = (*CAUTIONS.values(), BATTERY, LITHIUM, RIBBON, OVERHEAD, LIFTING, HEARING)
    return sorted({*of_gear, *(str(each[1]) for each in here)}, key=len, reverse=True)


def _translated(caution: Caution) -> Caution:
    return caution._replace(title=_(caution.title), text=_(caution.text))


def _of(sort: str, what: str) -> list[Caution]:
    """A battery of which the words do not say the chemistry gets the cautions of both."""
    if sort != "battery":
        return [CAUTIONS[sort]] if sort in CAUTIONS else []
    if _LITHIUM.search(what):
        return [LITHIUM]
    return [BATTERY] if _OTHERS.search(what) else [BATTERY, LITHIUM]
