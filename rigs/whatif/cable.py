"""Another cable or another input on a passive pickup: the curves, the form, and what a rig says.

The functions before the form are pure: quantities in SI go in, a WhatIfAnswer comes out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.languages.words import apart, leading
from rigs.checks.bench import Bench, BenchLink, BenchUnit
from rigs.checks.figures import listed
from rigs.facts import FACTS
from rigs.models import Link
from rigs.signal.pickups import PickupCircuit, Resonance, difference_db, resonance
from rigs.whatif.answers import (
    NOW_THEN,
    ProposedValue,
    Subject,
    Table,
    WhatIfAnswer,
    hertz,
    number,
    pickup_plot,
)
from rigs.whatif.forms import QuestionFields, as_typed, length_field, number_field
from rigs.whatif.topic import Topic

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

NEEDED = ("pickup_inductance", "pickup_resistance", "pickup_capacitance")
ASSUMES = gettext_lazy(
    "One coil, volume and tone full up; eddy currents, true-bypass pedals "
    "and extra parts in the instrument are left out. Trust the difference "
    "more than the figures."
)
SHOWN_HZ = (1000.0, 2000.0, 3000.0, 5000.0, 10_000.0)


@dataclass(frozen=True, slots=True)
class CableLoad:
    """What loads the pickup: a cable of some metres and F/m, and an input in ohm."""

    metres: float
    farads_per_metre: float
    ohms: float


def missing(facts: Mapping[str, float]) -> list[StrOrPromise]:
    """The figures of a pickup that are not stated, or are nothing where there must be something."""
    return [FACTS[key].words for key in NEEDED if not facts.get(key)]


def circuit(facts: Mapping[str, float], load: CableLoad) -> PickupCircuit:
    """The circuit of a pickup with its cable and input, from figures in SI.

    Raises ValueError where a figure is missing (ask `missing` first) or impossible.
    """
    return PickupCircuit(
        henries=facts.get("pickup_inductance", 0),
        ohms=facts.get("pickup_resistance", 0),
        farads=facts.get("pickup_capacitance", 0),
        cable_farads=load.metres * load.farads_per_metre,
        input_ohms=load.ohms,
        volume_ohms=facts.get("volume_pot"),
    )


def answer(
    facts: Mapping[str, float],
    now: CableLoad,
    then: CableLoad,
    proposal: ProposedValue | None = None,
) -> WhatIfAnswer:
    """The resonance, its peak and the −3 dB point with the load of now and of then.

    `facts` are the figures of the pickup in SI, by their keys in rigs.facts.
    """
    if absent := missing(facts):
        return WhatIfAnswer(
            problems=(
                _("Not stated: {figures}. Enter it as a figure first.").format(
                    figures=listed(absent)
                ),
            )
        )
    before, after = circuit(facts, now), circuit(facts, then)
    resonances = resonance(before), resonance(after)
    described = apart(_row_words(hz, before, after) for hz in SHOWN_HZ)
    return WhatIfAnswer(
        words=_words(before, after, *resonances),
        tables=(Table(_("Pickup, cable and input"), NOW_THEN, _rows(before, after, *resonances)),),
        assumes=(str(ASSUMES), *_no_volume(facts)),
        drawing=pickup_plot(
            before,
            after,
            title=_("The pickup with its cable and input, now and then"),
            desc=_("Change from now to then: {described}.").format(described=described),
        ),
        proposal=proposal,
    )


def _rows(
    before: PickupCircuit, after: PickupCircuit, now: Resonance, then: Resonance
) -> tuple[tuple[str, ...], ...]:
    both, circuits = (now, then), (before, after)
    return (
        (pgettext("figure", "Cable"), *(number(c.cable_farads * 1e12, "pF", 0) for c in circuits)),
        (_("Resonance"), *(hertz(r.peak_hz, _("no peak")) for r in both)),
        (_("Peak, against the coil"), *(number(r.peak_db, "dB") for r in both)),
        (_("Low end, against the coil"), *(number(r.low_db, "dB") for r in both)),
        (_("3 dB below the low end at"), *(hertz(r.minus3_hz, _("above 100 kHz")) for r in both)),
    )


def _words(before: PickupCircuit, after: PickupCircuit, now: Resonance, then: Resonance) -> str:
    level = number(abs(change := difference_db(5000.0, before, after)), "dB")
    if now.peak_hz and then.peak_hz:
        words = (
            _("The resonance goes from {now} to {then}; at 5 kHz {level} more.")
            if change > 0
            else _("The resonance goes from {now} to {then}; at 5 kHz {level} less.")
        )
    else:
        words = (
            _("The resonance: {now} now, {then} then; at 5 kHz {level} more.")
            if change > 0
            else _("The resonance: {now} now, {then} then; at 5 kHz {level} less.")
        )
    return words.format(
        now=hertz(now.peak_hz, _("no peak")), then=hertz(then.peak_hz, _("no peak")), level=level
    )


def _row_words(hz: float, before: PickupCircuit, after: PickupCircuit) -> str:
    return leading(hertz(hz, ""), number(difference_db(hz, before, after), "dB", sign=True))


def _no_volume(facts: Mapping[str, float]) -> tuple[str, ...]:
    if facts.get("volume_pot"):
        return ()
    return (_("No volume potentiometer is stated: left out, so the peak is lower than shown."),)


class CableQuestion(QuestionFields):
    length_now = length_field(Link, "length_m", gettext_lazy("cable now"))
    per_metre_now = number_field(
        gettext_lazy("its capacitance, pF per metre"),
        0,
        5000,
        help_text=gettext_lazy("From the cable’s sheet; 60 to 150 is common (no source)."),
    )
    load_now = number_field(gettext_lazy("input it ends in, kΩ"), 1, 100_000)
    length_then = length_field(Link, "length_m", gettext_lazy("another cable"))
    per_metre_then = number_field(gettext_lazy("its capacitance, pF per metre"), 0, 5000)
    load_then = number_field(gettext_lazy("input it would end in, kΩ"), 1, 100_000)


class CableTopic(Topic):
    key, label, icon = "cable", gettext_lazy("Cable"), "cable"
    nothing = gettext_lazy(
        "No guitar or bass, and nothing else with a pickup’s figures, is in this rig."
    )
    question = CableQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        """A cable from a pickup, or the unit itself where no cable leads on."""
        return [
            Subject(link.id, f"{unit.name} → {bench.units[link.target].name}")
            if link
            else Subject(unit.id, unit.name)
            for unit, link in _runs(bench)
        ]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        unit, link = _find(bench, subject)
        length = f"{link.length:g} m" if link and link.length is not None else ""
        ohms = _input_of(bench, unit, link)
        load = f"{ohms / 1000:g}" if ohms else ""
        return {"length_now": length, "length_then": length, "load_now": load, "load_then": load}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        unit, link = _find(bench, subject)
        now, then = (
            CableLoad(
                float(typed[f"length_{when}"].metres),
                typed[f"per_metre_{when}"] * 1e-12,
                typed[f"load_{when}"] * 1000,
            )
            for when in ("now", "then")
        )
        length = as_typed(typed["length_then"])
        # Only the length is a field of the rig; capacitance and input belong to what would be
        # bought.
        proposal = ProposedValue("link", link.id, "length_m", length) if link else None
        return answer(unit.facts, now, then, proposal)


def _runs(bench: Bench) -> Iterator[tuple[BenchUnit, BenchLink | None]]:
    for unit in bench.units.values():
        if unit.traits.pickup or any(key in unit.facts for key in NEEDED):
            # A unit without a cable on record can be asked about all the same: its length is typed.
            links: list[BenchLink | None] = [*bench.links_from(unit.id, "instrument")]
            yield from ((unit, link) for link in links or [None])


def _find(bench: Bench, subject: str) -> tuple[BenchUnit, BenchLink | None]:
    return next(
        (unit, link) for unit, link in _runs(bench) if subject == (link.id if link else unit.id)
    )


def _input_of(bench: Bench, unit: BenchUnit, link: BenchLink | None) -> float | None:
    """The impedance in ohm that the pickup works into: of the next unit, or of the DI there."""
    stated = bench.units[link.target].facts.get("input_impedance") if link else None
    dis = (e.device for e in bench.inputs if unit in e.units and e.device and e.device.is_di)
    return stated or next((di.impedance for di in dis if di.impedance), None)
