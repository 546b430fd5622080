"""A click, spoken cues or timecode on an input that also goes to the house."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from rigs.changes.edits import Set
from rigs.checks.bench import Bench
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "click_to_house"
# What only ears on stage, or machines, are to get; by what an input carries.
KEPT_BACK: dict[str, StrOrPromise] = {
    "click": gettext_lazy("{entry} carries a click, and is not kept from the house"),
    "spoken": gettext_lazy("{entry} carries spoken cues, and is not kept from the house"),
    "timecode": gettext_lazy("{entry} carries timecode, and is not kept from the house"),
}
# What its figure shows: in English the keys themselves.
_CARRIED: dict[str, StrOrPromise] = {
    "click": pgettext_lazy("what an input carries", "click"),
    "spoken": pgettext_lazy("what an input carries", "spoken"),
    "timecode": pgettext_lazy("what an input carries", "timecode"),
}
WHY = gettext_lazy(
    "One fader in the wrong place and the audience hears it; timecode is a "
    "full-scale screech that harms loudspeakers and ears."
)
MEND = gettext_lazy(
    "Mark the input as going to monitors only, and take it off the house at "
    "the desk: no fader, no group, no send to it."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.carries in KEPT_BACK and not entry.monitors_only:
            yield Finding(
                KEY,
                (entry.id,),
                Severity.LOOK,
                KEPT_BACK[entry.carries].format(entry=entry.name),
                str(WHY),
                str(MEND),
                Certainty.CERTAIN,
                (Figure(_("carries"), _CARRIED[entry.carries]),),
                edits=(Set(entry.id, "input", {"monitors_only": True}),),
            )
    yield from _nowhere(bench)


def _nowhere(bench: Bench) -> Iterator[Finding]:
    """A machine that makes a click which comes out of no input."""
    clicked = [entry for entry in bench.inputs if entry.carries == "click"]
    heard = {unit.id for unit in bench.upstream(*(u for e in clicked for u in e.units))}
    for unit in bench.units.values():
        level = any("click" in name.casefold() and text for name, text in unit.settings.items())
        if unit.traits.plays_back and level and unit.id not in heard:
            missing = [gettext_lazy("which input carries its click")]
            yield not_measured(KEY, (unit.id,), unit.name, missing, WHY)


RULE = Rule(KEY, gettext_lazy("Does a click reach nobody but those on stage?"), check)
