"""A microphone nearer or further away: level, comb and low end, the form, and what a rig says.

The functions before the form are pure: quantities in SI go in, a WhatIfAnswer comes out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.units import METRES_PER
from rigs.cautions import Caution
from rigs.checks.bench import ASSUMED_CELSIUS, Bench, BenchInput
from rigs.checks.figures import listed
from rigs.checks.points import own_distance
from rigs.models import Input
from rigs.signal.air import delay_seconds
from rigs.signal.combs import nulls
from rigs.signal.placement import distance_drop_db
from rigs.whatif import proximity
from rigs.whatif.air import COLDEST, HOTTEST
from rigs.whatif.answers import (
    NOW_THEN,
    ProposedValue,
    Subject,
    Table,
    WhatIfAnswer,
    comb_plot,
    hertz,
    number,
)
from rigs.whatif.forms import QuestionInAir, as_typed, length_field, temperature_field
from rigs.whatif.topic import Topic

ASSUMES = gettext_lazy(
    "Level by the inverse square law: a small source, and no room. Close to "
    "a large one, such as a loudspeaker cabinet or a drum, it changes less."
)
WITH_DI = gettext_lazy(
    "The DI itself adds no delay, neither does the desk, and both are "
    "equally loud; phase shift in amplifier and loudspeaker stays."
)


def caution() -> Caution:
    return Caution(
        _("Hearing"),
        _("Mute or turn down before reaching in front of a loudspeaker or a drum."),
        "ear",
    )


TEETH = 3


@dataclass(frozen=True, slots=True)
class Partner:
    """The DI of the same source, and whether its polarity is opposed to the microphone's."""

    name: str
    inverted: bool


def answer(
    now: float | None,
    then: float,
    celsius: float,
    partner: Partner | None = None,
    proposal: ProposedValue | None = None,
    gradient: float | None = None,
) -> WhatIfAnswer:
    """The level, delay and low end of a microphone at another distance. Distances are in m.

    `now` is None where it is not measured; `gradient` is the share of the pressure gradient in the
    pattern of the microphone, None where that is not known. Raises ValueError for what cannot be.
    """
    if now is None:
        return WhatIfAnswer(
            problems=(_("The distance now is not measured: nothing to compare with."),)
        )
    delays = delay_seconds(now, celsius), delay_seconds(then, celsius)
    rows = [
        (_("Distance"), *(number(metres * 1000, "mm", 0) for metres in (now, then))),
        (pgettext("of sound", "Delay"), *(number(delay * 1000, "ms", 2) for delay in delays)),
    ]
    problems, assumes, drawing = (
        [],
        [str(ASSUMES), _("Air at {celsius}.").format(celsius=number(celsius, "°C"))],
        "",
    )
    # A delay is heard only against another path of the same sound: here, a DI.
    if partner is None:
        problems.append(_("No DI on the same source: nothing to be late against."))
    else:
        rows.append(_notches(partner, delays))
        assumes.append(str(WITH_DI))
        drawing = _plot(partner, delays)
    close = proximity.change(now, then, celsius, gradient)
    rows += close.rows
    return WhatIfAnswer(
        " ".join(filter(None, (_words(now, then, delays), close.words))),
        (Table(_("Distance and delay"), NOW_THEN, tuple(rows)),),
        (*problems, *close.problems),
        (*assumes, *close.assumes),
        drawing,
        proposal,
        caution(),
        close.drawings,
    )


def level_change(now: float, then: float) -> float | None:
    """The change in dB from one distance in m to another; None where one of them is 0."""
    return -distance_drop_db(now, then) if now > 0 and then > 0 else None


def _words(now: float, then: float, delays: tuple[float, float]) -> str:
    change = level_change(now, then)
    later = (delays[1] - delays[0]) * 1000
    shift = number(abs(later), "ms", 2)
    if change is None:
        words = (
            _("It arrives {shift} later. At no distance at all, no level can be worked out.")
            if later >= 0
            else _("It arrives {shift} earlier. At no distance at all, no level can be worked out.")
        )
        return words.format(shift=shift)
    if change > 0:
        words = (
            _("{level} more, and {shift} later.")
            if later >= 0
            else _("{level} more, and {shift} earlier.")
        )
    else:
        words = (
            _("{level} less, and {shift} later.")
            if later >= 0
            else _("{level} less, and {shift} earlier.")
        )
    return words.format(level=number(abs(change), "dB"), shift=shift)


def first_notches(delay: float, inverted: bool) -> list[float]:
    """The first notches below 20 kHz, in Hz, of two paths so many seconds apart."""
    return [float(hz) for hz in nulls(delay, inverted=inverted)[:TEETH]] if delay > 0 else []


def _notches(partner: Partner, delays: tuple[float, float]) -> tuple[str, ...]:
    phrases = (
        str(listed([hertz(hz, "") for hz in first_notches(delay, partner.inverted)]))
        for delay in delays
    )
    return (
        _("First notches with {input}").format(input=partner.name),
        *(words or _("none below 20 kHz") for words in phrases),
    )


def _plot(partner: Partner, delays: tuple[float, float]) -> str:
    _name, now, then = _notches(partner, delays)
    return comb_plot(
        *delays,
        partner.inverted,
        title=_("Added to {input}, now and then").format(input=partner.name),
        desc=_("First notches now: {now}; then: {then}.").format(now=now, then=then),
    )


class DistanceQuestion(QuestionInAir):
    distance = length_field(Input, "distance_m", gettext_lazy("another distance"))
    celsius = temperature_field(COLDEST, HOTTEST)


class DistanceTopic(Topic):
    key, label, icon = "distance", gettext_lazy("Distance"), "ruler"
    nothing = gettext_lazy("No input of this rig has a microphone.")
    question = DistanceQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(entry.id, entry.name) for entry in bench.inputs if entry.is_mic]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        entry = _find(bench, subject)
        celsius = ASSUMED_CELSIUS if bench.celsius is None else bench.celsius
        return {"distance": _shown(entry), "celsius": f"{celsius:g}"}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        entry, then = _find(bench, subject), typed["distance"]
        proposal = ProposedValue("input", entry.id, "distance_m", as_typed(then))
        return answer(
            entry.distance,
            float(then.metres),
            typed["celsius"],
            _partner(bench, entry),
            proposal,
            entry.device.gradient if entry.device else None,
        )


def _find(bench: Bench, subject: str) -> BenchInput:
    return next(entry for entry in bench.inputs if entry.id == subject)


def _shown(entry: BenchInput) -> str:
    if entry.distance is None:
        return ""
    return f"{entry.distance / float(METRES_PER[entry.distance_unit]):g} {entry.distance_unit}"


def _partner(bench: Bench, mic: BenchInput) -> Partner | None:
    """The first DI of the same source; None where the tape does not start at that source."""
    if not mic.is_of_one or (mic.distance is not None and own_distance(mic) is None):
        return None
    for entry in bench.inputs:
        if entry.is_di and entry.units and bench.sources(entry) & bench.sources(mic):
            return Partner(entry.name, entry.reversed_polarity != mic.reversed_polarity)
    return None
