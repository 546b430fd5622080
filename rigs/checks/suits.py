"""Whether one microphone or DI can stand in for another on an input. Pure.

The checks of a rig are asked about that input alone with the other device in place; what they do
not ask, because a rig has one device at a time, is worked out here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from django.utils.translation import gettext as _

from core.languages.words import number
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
                # However a language writes its colon.
                title = re.sub(rf"^{re.escape(entry.name)}\s*[:\uff1a]\s*", "", finding.title)
                yield f"{title[:1].upper()}{title[1:]}."


def _day_of(entry: BenchInput) -> Channel:
    return Channel(
        entry.phantom, entry.pad, entry.gain, entry.pad_at == "device", entry.ground_lift
    )


def _compared(
    device: BenchDevice, before: BenchDevice, entry: BenchInput, listed: Channel
) -> Iterator[str]:
    if device.is_di != before.is_di:
        yield (
            _("This is a DI box, the list has a microphone.")
            if device.is_di
            else _("This is a microphone, the list has a DI box.")
        )
    elif device.is_di:
        yield from _load(device, before)
    else:
        yield from _pattern(device, before)
        yield from _level(device, before, entry, listed)
        yield from _most(device, before)


def _load(device: BenchDevice, before: BenchDevice) -> Iterator[str]:
    """A DI of lower input impedance loads what it is plugged into more."""
    if device.impedance and before.impedance and device.impedance < before.impedance:
        yield _(
            "Its input is {ohms} instead of {before}: it loads a passive pickup more, which takes "
            "top end."
        ).format(ohms=_kilohms(device.impedance), before=_kilohms(before.impedance))


def _kilohms(ohms: float) -> str:
    return f"{_digits(ohms / 1000, 4)} kΩ"


def _digits(value: float, digits: int) -> str:
    return number(Decimal(f"{value:.{digits}g}"))


def _pattern(device: BenchDevice, before: BenchDevice) -> Iterator[str]:
    if device.pattern and before.pattern and device.pattern != before.pattern:
        yield _(
            "Another pattern, {pattern} instead of {before}: bleed, feedback and the low end close "
            "up will be different."
        ).format(pattern=device.pattern, before=before.pattern)


def _level(
    device: BenchDevice, before: BenchDevice, entry: BenchInput, listed: Channel
) -> Iterator[str]:
    if device.sensitivity is None or before.sensitivity is None:
        yield _("The difference in level is not known: a sensitivity is not stated.")
        return
    rise = rise_of(before, device, listed, without_own_pad(listed, _day_of(entry)))
    db = float(db_from_ratio(device.sensitivity / before.sensitivity)) if rise is None else rise
    if not at_least(abs(db), LEAST_DB):
        return
    is_set = rise is not None and listed != _day_of(entry)
    words = {"db": number(abs(db), 1), "before": before.name}
    yield f"{_how_far(db, is_set).format(**words)} {_turn(db, entry.gain)}"


def _how_far(db: float, is_set: bool) -> str:
    if is_set and db > 0:
        return _("As set at this show {db} dB louder than {before}:")
    if is_set:
        return _("As set at this show {db} dB quieter than {before}:")
    if db > 0:
        return _("{db} dB more sensitive than {before}:")
    return _("{db} dB less sensitive than {before}:")


def _turn(db: float, gain: float | None) -> str:
    """What makes up for it, after the colon."""
    if gain is None:
        return (
            _("for the same level turn the preamp down by as much.")
            if db > 0
            else _("for the same level turn the preamp up by as much.")
        )
    words = (
        _("for the same level turn the preamp down by as much, from {now} to {then} dB.")
        if db > 0
        else _("for the same level turn the preamp up by as much, from {now} to {then} dB.")
    )
    return words.format(now=number(gain), then=number(gain - db, 1))


def _most(device: BenchDevice, before: BenchDevice) -> Iterator[str]:
    if device.max_spl is None or before.max_spl is None or device.max_spl >= before.max_spl:
        return
    yield _(
        "Takes {less} dB less than {before} before it distorts: {most} against {most_before} "
        "dB SPL."
    ).format(
        less=_digits(before.max_spl - device.max_spl, 3),
        before=before.name,
        most=_digits(device.max_spl, 4),
        most_before=_digits(before.max_spl, 4),
    )
