"""The level behind the preamp's gain against what desks take before they clip."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import number
from core.limits import at_least
from rigs.changes.edits import Set
from rigs.checks.bench import Bench, BenchDevice, BenchInput
from rigs.checks.figures import Figure, decibels
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.loudness import Loudness, loudness
from rigs.signal.headroom import MicChain, headroom
from rigs.signal.microphones import output_dbu

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "preamp_headroom"
# Full scale of the two alignments in common use: SMPTE RP 155 and EBU R 68 (both from memory).
LEAST_GAIN_DB = -30.0  # that the field takes
HIGHEST_DBU, LOWEST_DBU = 24.0, 18.0
# Pressure doubles at a rigid surface: 20 log10(2) = 6.02 dB; image source, textbook acoustics.
ON_A_SURFACE = gettext_lazy(
    "The sensitivity of a boundary microphone counts as that on a large "
    "surface; without one, its lows are up to 6 dB weaker."
)
WHY = gettext_lazy(
    "A preamp or converter that clips does so on the loudest notes, where it is heard most."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        device = entry.device
        if device is None or device.is_di or not entry.units:
            continue
        heard = loudness(entry)
        unset = _unset(entry, device)
        # What is known may be too much already, whatever the rest adds.
        known = heard.spl is not None and not unset
        finding = _held_against(entry, device, heard) if known else None
        if finding is not None:
            yield finding
        elif missing := [*heard.missing, *unset]:
            parts = (entry.id, *(unit.id for unit in heard.unstated or entry.units))
            yield not_measured(KEY, parts, entry.name, missing, WHY)


def _unset(entry: BenchInput, device: BenchDevice) -> list[StrOrPromise]:
    unset: list[StrOrPromise] = []
    if device.sensitivity is None:
        unset.append(format_lazy(gettext_lazy("sensitivity of {device}"), device=device.name))
    if entry.gain is None:
        unset.append(gettext_lazy("preamp gain"))
    return unset


def _held_against(entry: BenchInput, device: BenchDevice, heard: Loudness) -> Finding | None:
    spl = heard.spl or 0.0
    sensitivity, gain, pad = device.sensitivity or 1.0, entry.gain or 0.0, -entry.pad
    chain = MicChain(sensitivity, gain, pad, full_scale_dbu=HIGHEST_DBU)
    left = headroom(chain, spl).stages["converter"]
    # Silent only where even the lower of the two usual full scales is not reached.
    if at_least(left, HIGHEST_DBU - LOWEST_DBU):
        return None
    over = not at_least(left, 0)
    title = (
        _("{entry}: the preamp is out of headroom")
        if over
        else _("{entry}: the preamp is nearly out of headroom")
    )
    lower = HIGHEST_DBU - LOWEST_DBU - left
    return Finding(
        KEY,
        (entry.id,),
        Severity.CAUTION if over else Severity.LOOK,
        title.format(entry=entry.name),
        str(WHY),
        _("Take {level} off the gain, or put a pad in.").format(level=decibels("", lower).shown),
        Certainty.ESTIMATE,
        (
            *heard.figures,
            Figure(_("out of the microphone"), output_dbu(spl, sensitivity), "dBu"),
            decibels(_("pad"), entry.pad),
            decibels(_("preamp gain"), gain),
            Figure(_("behind the preamp"), HIGHEST_DBU - left, "dBu"),
        ),
        (
            *heard.assumes,
            *([str(ON_A_SURFACE)] if device.is_boundary else ()),
            _(
                "The desk’s limit is not stated: full scale lies at +{low} or +{high} dBu on most."
            ).format(low=number(LOWEST_DBU), high=number(HIGHEST_DBU)),
            _("The stated level is taken as that of a sine with the same peaks."),
        ),
        edits=_less(entry, lower),
    )


def _less(entry: BenchInput, lower: float) -> tuple[Set, ...]:
    """The gain turned down to where the check is silent, if the preamp goes that low."""
    # Rounded down to the tenth of a dB that the field holds, so that the check is silent then.
    gain = math.floor(((entry.gain or 0.0) - lower) * 10) / 10
    return (Set(entry.id, "input", {"gain_db": f"{gain:g}"}),) if gain >= LEAST_GAIN_DB else ()


RULE = Rule(KEY, gettext_lazy("Is the preamp out of headroom at the stated level?"), check)
