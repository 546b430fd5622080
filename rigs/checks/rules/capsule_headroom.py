"""The level at the microphone against the most its capsule takes."""

from __future__ import annotations

from collections.abc import Iterator

from core.limits import at_least
from rigs.checks.bench import Bench, BenchDevice, BenchInput
from rigs.checks.figures import Figure, decibels
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.signal.headroom import MicChain, headroom

KEY = "capsule_headroom"
MARGIN_DB = 6.0  # peaks above what a slow meter reads; rule of thumb, no source
WHY = "Clipping in the capsule cannot be undone: less gain or a pad after it does not help."


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        device = entry.device
        if device is None or device.is_di or entry.unit is None:
            continue
        spl = entry.unit.facts.get("spl_at_mic")
        missing = [] if spl is not None else [f"level at the microphone of {entry.unit.name}"]
        if device.max_spl is None:
            missing.append(f"maximum SPL of {device.name}")
        if missing:
            yield not_measured(KEY, (entry.id, entry.unit.id), entry.name, missing, WHY)
        elif finding := _held_against(entry, device, spl or 0.0):
            yield finding


def _held_against(entry: BenchInput, device: BenchDevice, spl: float) -> Finding | None:
    # Sensitivity plays no part in what reaches the capsule; any will do here.
    limit = (device.max_spl or 0.0) - entry.own_pad
    chain = MicChain(sensitivity=1.0, capsule_max_spl=limit)
    left = headroom(chain, spl).stages["capsule"]
    if at_least(left, MARGIN_DB):
        return None
    over = not at_least(left, 0)
    return Finding(
        KEY,
        (entry.id,),
        Severity.CAUTION if over else Severity.LOOK,
        f"{entry.name}: the capsule of {device.name} is "
        f"{'beyond its limit' if over else 'near its limit'}",
        WHY,
        "Move it back, use a microphone that takes more, or switch in its own pad where it has one "
        "and say so with the pad. The maker’s sheet says what that raises the limit to.",
        Certainty.ESTIMATE,
        (
            Figure("level at the microphone", spl, "dB SPL"),
            Figure("maximum SPL", device.max_spl or 0.0, "dB SPL"),
            *([decibels("its own pad", entry.own_pad)] if entry.own_pad else ()),
            decibels("headroom", left),
        ),
        (
            *_assumed_of_pad(entry),
            "The stated level is taken as that of a sine with the same peaks; peaks of drums lie "
            "10 dB and more above a slow meter (rule of thumb).",
        ),
    )


def _assumed_of_pad(entry: BenchInput) -> list[str]:
    if entry.own_pad:
        return ["Its own pad raises the limit by as much (common practice)."]
    if entry.pad and not entry.pad_at:
        return ["Nobody has said whose pad it is: it is taken as one behind the microphone."]
    return []


RULE = Rule(KEY, "Is the capsule out of headroom at the stated level?", check)
