"""A microphone or DI that needs phantom power on a channel without it."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.edits import Set
from rigs.checks.bench import Bench, BenchDevice, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.rules.phantom_split import split_lines
from rigs.swaps import wants_phantom

KEY = "phantom_missing"
WHY = gettext_lazy("Without its supply it passes nothing, or passes it weak and distorted.")
WHY_NOT_BOTH = gettext_lazy(
    "One of the two is wrong: an active ribbon needs phantom power, a "
    "passive one does not, and can be harmed by it through a faulty cable or "
    "a patchbay."
)


def check(bench: Bench) -> Iterator[Finding]:
    split = split_lines(bench)
    for entry in bench.inputs:
        device = entry.device
        if device is None or entry.phantom or not device.needs_phantom:
            continue
        # Not simply needs_phantom: the entry of a ribbon may contradict itself, and then off is
        # safe.
        if wants_phantom(device):
            yield _missing(entry, device, entry.id in split)
        else:
            yield _contradicts_itself(entry, device)


def _missing(entry: BenchInput, device: BenchDevice, is_split: bool) -> Finding:
    on = Set(entry.id, "input", {"phantom": True})
    return Finding(
        KEY,
        (entry.id,),
        Severity.CAUTION,
        _("{entry}: {device} needs phantom power, which is off").format(
            entry=entry.name, device=device.name
        ),
        str(WHY),
        _("Switch phantom on with the channel muted, or record that it has its own supply."),
        Certainty.CERTAIN,
        (Figure(_("device"), device.name),),
        # On a split line it may come from the other side, and nobody wants it from both.
        edits=() if is_split else (on,),
    )


def _contradicts_itself(entry: BenchInput, device: BenchDevice) -> Finding:
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        _("{entry}: {device} is entered as a passive ribbon that needs phantom power").format(
            entry=entry.name, device=device.name
        ),
        str(WHY_NOT_BOTH),
        _("Leave phantom off, look at its maker’s sheet and correct the entry of the microphone."),
        Certainty.CERTAIN,
        (Figure(_("device"), device.name),),
    )


RULE = Rule(KEY, gettext_lazy("Is phantom power off where the microphone or DI needs it?"), check)
