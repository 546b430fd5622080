"""The level at the microphone against the most its capsule takes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.limits import at_least
from rigs.checks.bench import Bench, BenchDevice, BenchInput
from rigs.checks.figures import Figure, decibels
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.loudness import Loudness, loudness
from rigs.signal.headroom import MicChain, headroom

if TYPE_CHECKING:
    pass

KEY = "capsule_headroom"
MARGIN_DB = 6.0  # peaks above what a slow meter reads; rule of thumb, no source
WHY = gettext_lazy(
    "Clipping in the capsule cannot be undone: less gain or a pad after it does not help."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        device = entry.device
        if device is None or device.is_di or not entry.units:
            continue
        heard = loudness(entry)
        missing = heard.missing
        if device.max_spl is None:
            missing.append(format_lazy(gettext_lazy("maximum SPL of {device}"), device=device.name))
        # What is known may be too much already, whatever the rest adds.
        known = heard.spl is not None and device.max_spl is not None
        finding = _held_against(entry, device, heard) if known else None
        if finding is not None:
            yield finding
        elif missing:
            parts = (entry.id, *(unit.id for unit in heard.unstated or entry.units))
            yield not_measured(KEY, parts, entry.name, missing, WHY)


def _held_against(entry: BenchInput, device: BenchDevice, heard: Loudness) -> Finding | None:
    # Sensitivity plays no part in what reaches the capsule; any will do here.
    limit = (device.max_spl or 0.0) - entry.own_pad
    chain = MicChain(sensitivity=1.0, capsule_max_spl=limit)
    left = headroom(chain, heard.spl or 0.0).stages["capsule"]
    if at_least(left, MARGIN_DB):
        return None
    over = not at_least(left, 0)
    title = (
        _("{entry}: the capsule of {device} is beyond its limit")
        if over
        else _("{entry}: the capsule of {device} is near its limit")
    )
    return Finding(
        KEY,
        (entry.id,),
        Severity.CAUTION if over else Severity.LOOK,
        title.format(entry=entry.name, device=device.name),
        str(WHY),
        _(
            "Move it back, use a microphone that takes more, or switch in its own "
            "pad where it has one and say so with the pad. The maker’s sheet says "
            "what that raises the limit to."
        ),
        Certainty.ESTIMATE,
        (
            *heard.figures,
            Figure(_("maximum SPL"), device.max_spl or 0.0, "dB SPL"),
            *([decibels(_("its own pad"), entry.own_pad)] if entry.own_pad else ()),
            decibels(_("headroom"), left),
        ),
        (
            *heard.assumes,
            *_assumed_of_pad(entry),
            _(
                "The stated level is taken as that of a sine with the same peaks; peaks "
                "of drums lie 10 dB and more above a slow meter (rule of thumb)."
            ),
        ),
    )


def _assumed_of_pad(entry: BenchInput) -> list[str]:
    if entry.own_pad:
        return [_("Its own pad raises the limit by as much (common practice).")]
    if entry.pad and not entry.pad_at:
        return [_("Nobody has said whose pad it is: it is taken as one behind the microphone.")]
    return []


RULE = Rule(KEY, gettext_lazy("Is the capsule out of headroom at the stated level?"), check)
