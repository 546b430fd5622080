"""The cabinets on an amplifier's tap, as wired, against the impedance that the tap is for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.limits import at_most
from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.cabinets import WIRING_WORDS, CabinetLoad, amplifiers, tap_of
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.gear import Has
from rigs.signal.loads import impedance, tap_ratio

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "tap_load"
TOLERANCE = 0.1  # of the ratio: nominal impedances are no more exact; common practice, no source
WHY = gettext_lazy(
    "A valve amplifier is built for the load its tap names. Another load "
    "changes what its valves and output transformer carry."
)
MEND = gettext_lazy(
    "Use the tap that fits or wire the cabinets differently, with the "
    "amplifier switched off. What it stands is for its maker or a qualified "
    "technician to say."
)


WHY_HIGHER = gettext_lazy(
    "An amplifier without an output transformer gives less power into a "
    "higher load. A valve amplifier can be harmed by one."
)
WHY_LOWER = gettext_lazy(
    "A lower load takes more current from the output stage than it may be "
    "made for: it can overheat or shut down."
)
MEND_OTHERS = gettext_lazy(
    "Look up the least load that its maker allows, and wire the cabinets so "
    "that they stay above it, with the amplifier switched off. If it is a "
    "valve amplifier, say so as its kind of gear."
)
NOT_VALVE = gettext_lazy("It is not said to be a valve amplifier, and is taken for one without.")
AS_VALVE = gettext_lazy("It may have valves or not, and is taken for a valve amplifier.")


def check(bench: Bench) -> Iterator[Finding]:
    for amplifier, load in amplifiers(bench):
        figure, setting = tap_of(amplifier)
        # Nothing is computed from two records that disagree: either may be the wrong one.
        if figure and setting and figure != setting:
            yield _two_taps(amplifier, figure, setting)
        elif figure or setting or _must_have_one(amplifier, load):
            yield from _one_tap(amplifier, load, setting or figure)


def _must_have_one(amplifier: BenchUnit, load: CabinetLoad) -> bool:
    """A valve head needs a load whatever is on record; a combo brings its own loudspeaker."""
    valves = amplifier.traits.valves
    return valves is Has.YES or (valves is Has.PERHAPS and bool(load.cabinets))


def _one_tap(amplifier: BenchUnit, load: CabinetLoad, tap: float | None) -> Iterator[Finding]:
    missing: list[StrOrPromise] = [] if tap else [gettext_lazy("speaker tap in use")]
    missing += [
        format_lazy(gettext_lazy("speaker impedance of {unit}"), unit=unit.name)
        for unit in load.missing
    ]
    if not load.cabinets:
        missing.append(gettext_lazy("the cabinet on its speaker output"))
    parts = (amplifier.id, *(u.id for u in load.cabinets if u.id != amplifier.id))
    if missing or tap is None or load.wiring is None:
        yield not_measured(KEY, parts, amplifier.name, missing, WHY)
        return
    ohms = impedance(load.wiring)
    ratio = tap_ratio(ohms, tap)
    if not at_most(abs(ratio - 1), TOLERANCE):
        yield _mismatch(amplifier, parts, load, ohms, tap, ratio)


def _mismatch(
    amplifier: BenchUnit,
    parts: tuple[str, ...],
    load: CabinetLoad,
    ohms: float,
    tap: float,
    ratio: float,
) -> Finding:
    cabinets = [Figure(u.name, u.facts["speaker_impedance"], "Ω") for u in load.cabinets]
    shown = Figure(pgettext("impedances", "together"), ohms, "Ω")
    severity, why, mend, certainty, assumed = _meaning(amplifier, ratio)
    return Finding(
        KEY,
        parts,
        severity,
        _("{amplifier}: {load} of cabinets on the {tap} tap").format(
            amplifier=amplifier.name, load=shown.shown, tap=Figure("", tap, "Ω").shown
        ),
        why,
        mend,
        certainty,
        (*cabinets, shown, Figure(_("tap"), tap, "Ω"), Figure(_("load over tap"), ratio, "×")),
        (*assumed, str(WIRING_WORDS), _("Nominal impedances; the real one moves with frequency.")),
    )


def _meaning(
    amplifier: BenchUnit, ratio: float
) -> tuple[Severity, str, str, Certainty, tuple[str, ...]]:
    """What the mismatch means for this kind of amplifier, and how sure that is."""
    if amplifier.traits.valves is Has.YES:
        return Severity.CAUTION, str(WHY), str(MEND), Certainty.CERTAIN, ()
    if amplifier.traits.valves is Has.PERHAPS:
        return Severity.CAUTION, str(WHY), str(MEND), Certainty.ESTIMATE, (str(AS_VALVE),)
    severity, why = (Severity.LOOK, WHY_HIGHER) if ratio > 1 else (Severity.CAUTION, WHY_LOWER)
    return severity, str(why), str(MEND_OTHERS), Certainty.ESTIMATE, (str(NOT_VALVE),)


def _two_taps(amplifier: BenchUnit, figure: float, setting: float) -> Finding:
    return Finding(
        KEY,
        (amplifier.id,),
        Severity.LOOK,
        _("{amplifier}: two records of the tap in use disagree").format(amplifier=amplifier.name),
        str(WHY),
        _("Look at the amplifier and correct the figure or the setting."),
        Certainty.CERTAIN,
        (Figure(_("as a figure"), figure, "Ω"), Figure(_("as a setting"), setting, "Ω")),
    )


RULE = Rule(KEY, gettext_lazy("Do the cabinets fit the tap they hang on?"), check)
