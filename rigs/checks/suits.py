"""Whether one microphone or DI can stand in for another on an input. Pure.

The checks of a rig are asked about that input alone with the other device in place; what they do
not ask, because a rig has one device at a time, is worked out here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from core.limits import at_least
from rigs.checks.bench import Bench, BenchDevice, BenchInput
from rigs.checks.findings import Severity
from rigs.checks.rules import capsule_headroom, ground_lift, phantom_missing, phantom_on_ribbon
from rigs.signal.levels import db_from_ratio
from rigs.swaps import LEAST_DB, Channel, rise_of, without_own_pad

_RULES = (phantom_missing.RULE, phantom_on_ribbon.RULE, ground_lift.RULE, capsule_headroom.RULE)


def suits(device: BenchDevice, entry: BenchInput, listed: Channel | None = None) -> list[str]:
    """Plain sentences on what to mind when `device` stands in; none if there is nothing.

    `entry` has the phantom power, pad and gain of the day; its device is the one replaced. `listed`
    is the channel as it was set for that one; left out, it is as on the day.
    """
    reasons = [*_rules(device, entry)]
    if entry.device is not None and entry.device.id != device.id:
        reasons += _compared(device, entry.device, entry, listed or _day_of(entry))
    return reasons


def _rules(device: BenchDevice, entry: BenchInput) -> Iterator[str]:
    # A pad that was the other device's own says nothing of what this one takes.
    bench = Bench("", inputs=(replace(entry, device=device, pad_at=""),))
    for rule in _RULES:
        for finding in rule.check(bench):
            if finding.severity in (Severity.CAUTION, Severity.LOOK):
                title = finding.title.removeprefix(f"{entry.name}: ")
                yield f"{title[:1].upper()}{title[1:]}."


def _day_of(entry: BenchInput) -> Channel:
    return Channel(
        entry.phantom, entry.pad, entry.gain, entry.pad_at == "device", entry.ground_lift
    )


def _compared(
    device: BenchDevice, before: BenchDevice, entry: BenchInput, listed: Channel
) -> Iterator[str]:
    if device.is_di != before.is_di:
        kinds = ("a microphone", "a DI box")
        yield f"This is {kinds[device.is_di]}, the list has {kinds[before.is_di]}."
    elif device.is_di:
        yield from _load(device, before)
    else:
        yield from _pattern(device, before)
        yield from _level(device, before, entry, listed)
        yield from _most(device, before)


def _load(device: BenchDevice, before: BenchDevice) -> Iterator[str]:
    """A DI of lower input impedance loads what it is plugged into more."""
    if device.impedance and before.impedance and device.impedance < before.impedance:
        yield (
            f"Its input is {_kilohms(device.impedance)} instead of {_kilohms(before.impedance)}: "
            "it loads a passive pickup more, which takes top end."
        )


def _kilohms(ohms: float) -> str:
    return f"{ohms / 1000:.4g} kΩ"


def _pattern(device: BenchDevice, before: BenchDevice) -> Iterator[str]:
    if device.pattern and before.pattern and device.pattern != before.pattern:
        yield (
            f"Another pattern, {device.pattern} instead of {before.pattern}: bleed, feedback and "
            "the low end close up will be different."
        )


def _level(
    device: BenchDevice, before: BenchDevice, entry: BenchInput, listed: Channel
) -> Iterator[str]:
    if device.sensitivity is None or before.sensitivity is None:
        yield "The difference in level is not known: a sensitivity is not stated."
        return
    rise = rise_of(before, device, listed, without_own_pad(listed, _day_of(entry)))
    db = float(db_from_ratio(device.sensitivity / before.sensitivity)) if rise is None else rise
    if not at_least(abs(db), LEAST_DB):
        return
    turn = "down" if db > 0 else "up"
    gain = "" if entry.gain is None else f", from {entry.gain:g} to {entry.gain - db:.1f} dB"
    yield (
        f"{_how_far(db, rise is not None and listed != _day_of(entry))} than {before.name}: for "
        f"the same level turn the preamp {turn} by as much{gain}."
    )


def _how_far(db: float, is_set: bool) -> str:
    if is_set:
        return f"As set at this show {abs(db):.1f} dB {'louder' if db > 0 else 'quieter'}"
    return f"{abs(db):.1f} dB {'more' if db > 0 else 'less'} sensitive"


def _most(device: BenchDevice, before: BenchDevice) -> Iterator[str]:
    if device.max_spl is None or before.max_spl is None or device.max_spl >= before.max_spl:
        return
    yield (
        f"Takes {before.max_spl - device.max_spl:.3g} dB less than {before.name} before it "
        f"distorts: {device.max_spl:.4g} against {before.max_spl:.4g} dB SPL."
    )
