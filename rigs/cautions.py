"""Where work on a rig can hurt a person or a microphone. Pure.

None is a licence: each leaves the last word to local rules and qualified people.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from django.utils.translation import gettext as _

from core.languages.marked import gettext_noop
from rigs.wording.unit_views import UnitView
from rigs.wording.views import InputView, RigView

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

# What many guides give as the most for one person in a good posture: common practice, no source.
HEAVY_KG = 25
# Close to it for minutes a day is already too much by every rule of rigs/signal/exposure.py.
LOUD_DB = 100
# Above a standing person's head: common practice, no source.
OVERHEAD_M = Decimal("1.8")
AT_FIGURE = gettext_noop("{name} at {figure}")


class _Words(NamedTuple):
    """English, or made in the language of the reader already."""

    title: StrOrPromise
    text: StrOrPromise
    icon: str = "triangle-alert"
    figure: str = ""  # what makes it so, of this unit: “34 kg”


class Caution(_Words):
    """`title` and `text` are in the language of the reader, whoever wrote them down here."""

    @property
    def title(self) -> str:
        return _(str(self[0]))

    @property
    def text(self) -> str:
        return _(str(self[1])) if self[1] else ""

    def named(self, name: str) -> str:
        if not self.figure:
            return name
        return _(AT_FIGURE).format(name=name, figure=self.figure)


MAINS = Caution(
    gettext_noop("Mains"),
    gettext_noop(
        "A sum of figures is no wiring plan: inrush, power factor and what the supply may carry "
        "are for a licensed electrician and the local code. Never lift a protective earth."
    ),
    "zap",
)
RIBBON = Caution(
    gettext_noop("Phantom power on a passive ribbon"),
    gettext_noop(
        "A wrong cable or a patch made under power can tear the ribbon. Switch phantom power off "
        "and wait for it to drain before connecting this microphone; the maker’s sheet has the "
        "last word."
    ),
)
OVERHEAD = Caution(
    gettext_noop("Above people’s heads"),
    gettext_noop(
        "Stand weighted and locked, cable tied off, a second fixing for what hangs. Ladders, "
        "rigging and anything flown are for qualified people, by the local code and the house’s "
        "rules."
    ),
)
LIFTING = Caution(
    gettext_noop("Lifting"),
    gettext_noop(
        "Lift heavy cases with others or on wheels and ramps, never alone. What one person may "
        "lift is set by local rules; lifting gear and anything flown are for qualified people."
    ),
    "package",
)
HEARING = Caution(
    gettext_noop("Hearing"),
    gettext_noop(
        "Loud where its microphone stands: place it while nobody plays, or wear hearing "
        "protection. Local law on sound levels comes first; where hearing is at stake, a qualified "
        "person measures."
    ),
    "ear",
)


def of_unit(unit: UnitView) -> list[Caution]:
    """What to mind about one unit, by its kind and its figures."""
    figures = {fact.key: fact for fact in unit.facts}
    cautions = (
        [Caution(_("Before anybody opens or moves it"), unit.caution)] if unit.caution else []
    )
    if "weight" in figures and figures["weight"].value >= HEAVY_KG:
        weight = figures["weight"].text
        cautions.append(
            LIFTING._replace(
                title=_("Lifting: {weight} in its case").format(weight=weight), figure=weight
            )
        )
    if "spl_at_mic" in figures and figures["spl_at_mic"].value >= LOUD_DB:
        level = figures["spl_at_mic"].text
        title = _("Hearing: {level} where its microphone stands").format(level=level)
        cautions.append(HEARING._replace(title=title, figure=level))
    return cautions


def of_input(entry: InputView) -> list[Caution]:
    """What to mind about the microphone of one input and where it stands."""
    cautions = [RIBBON] if entry.device is not None and entry.device.is_passive_ribbon else []
    return [*cautions, *([OVERHEAD] if _is_overhead(entry) else [])]


def near(unit: UnitView) -> list[Caution]:
    """What to mind at an input because of the unit that it hears."""
    return [
        # The title of a unit’s own page is about opening it; at an input one only stands near it.
        caution._replace(title=_("Near {name}").format(name=unit.name))
        if caution.text == unit.caution
        else caution
        for caution in of_unit(unit)
    ]


def of_rig(view: RigView) -> list[tuple[str, list[str]]]:
    """The words of each caution once, with the units and inputs it is about and their figures."""
    about: dict[str, list[str]] = {}
    for unit in view.units:
        for caution in of_unit(unit):
            about.setdefault(caution.text, []).append(caution.named(unit.name))
    for entry in view.inputs:
        for caution in of_input(entry):
            about.setdefault(caution.text, []).append(entry.label)
    return list(about.items())


def in_words(cautions: Iterable[tuple[str, list[str]]]) -> list[str]:
    """Cautions as lines for paper: “Valve head: …”."""
    words = _("{names}: {caution}")
    return [
        words.format(names=_(", ").join(dict.fromkeys(names)), caution=text)
        for text, names in cautions
    ]


def _is_overhead(entry: InputView) -> bool:
    text = " ".join((entry.name, entry.aimed_at, entry.stand)).casefold()
    return "overhead" in text or (entry.height_m is not None and entry.height_m >= OVERHEAD_M)
