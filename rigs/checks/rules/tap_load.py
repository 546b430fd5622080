"""The cabinets on an amplifier's tap, as wired, against the impedance that the tap is for."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.cabinets import WIRING_WORDS, Load, amplifiers, tap_of
from rigs.checks.figures import Figure
from rigs.checks.findings import Finding, Rule, Severity, Sure, not_measured
from rigs.signal.loads import impedance, tap_ratio

KEY = "tap_load"
TOLERANCE = 0.1  # of the ratio: nominal impedances are no more exact; common practice, no source
_VALVES = frozenset({"valve_head", "combo"})
WHY = (
    "A valve amplifier is built for the load its tap names. Another load changes what its valves "
    "and output transformer carry."
)
MEND = (
    "Use the tap that fits or wire the cabinets differently, with the amplifier switched off. What "
    "it stands is for its maker or a qualified technician to say."
)


def check(bench: Bench) -> Iterator[Finding]:
    for amplifier, load in amplifiers(bench):
        figure, setting = tap_of(amplifier)
        if figure and setting and figure != setting:
            yield _two_taps(amplifier, figure, setting)
        elif (figure or setting) or (amplifier.gear in _VALVES and load.cabinets):
            yield from _one_tap(amplifier, load, setting or figure)


def _one_tap(amplifier: BenchUnit, load: Load, tap: float | None) -> Iterator[Finding]:
    missing = [] if tap else ["speaker tap in use"]
    missing += [f"speaker impedance of {unit.name}" for unit in load.missing]
    if not load.cabinets:
        missing.append("the cabinet on its speaker output")
    parts = (amplifier.id, *(u.id for u in load.cabinets if u.id != amplifier.id))
    if missing or tap is None or load.wiring is None:
        yield not_measured(KEY, parts, amplifier.name, missing, WHY)
        return
    ohms = impedance(load.wiring)
    ratio = tap_ratio(ohms, tap)
    if abs(ratio - 1) > TOLERANCE:
        yield _mismatch(amplifier, parts, load, ohms, tap, ratio)


def _mismatch(
    amplifier: BenchUnit, parts: tuple[str, ...], load: Load, ohms: float, tap: float, ratio: float
) -> Finding:
    cabinets = [Figure(u.name, u.facts["speaker_impedance"], "Ω") for u in load.cabinets]
    shown = Figure("together", ohms, "Ω")
    return Finding(
        KEY,
        parts,
        Severity.CAUTION,
        f"{amplifier.name}: {shown.shown} of cabinets on the {Figure('', tap, 'Ω').shown} tap",
        WHY,
        MEND,
        Sure.CERTAIN,
        (*cabinets, shown, Figure("tap", tap, "Ω"), Figure("load over tap", ratio, "×")),
        (WIRING_WORDS, "Nominal impedances; the real one moves with frequency."),
    )


def _two_taps(amplifier: BenchUnit, figure: float, setting: float) -> Finding:
    return Finding(
        KEY,
        (amplifier.id,),
        Severity.LOOK,
        f"{amplifier.name}: two records of the tap in use disagree",
        WHY,
        "Look at the amplifier and correct the figure or the setting.",
        Sure.CERTAIN,
        (Figure("as a figure", figure, "Ω"), Figure("as a setting", setting, "Ω")),
    )


RULE = Rule(KEY, "Do the cabinets fit the tap they hang on?", check)
