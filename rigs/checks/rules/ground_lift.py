"""Ground lift where it can do harm, or nothing at all: on a microphone, or with phantom power."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from rigs.changes.edits import Set
from rigs.checks.bench import Bench, BenchDevice, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "ground_lift"
WHY_MIC = gettext_lazy(
    "Phantom power and the screening of a microphone’s cable go through its "
    "shield: lifted, the microphone fails, crackles or hums."
)
WHY_PHANTOM = gettext_lazy(
    "Phantom power comes back through the shield. Some DIs lift only the "
    "side of the instrument, others lose their supply."
)
NEVER_EARTH = gettext_lazy(
    "Never lift a protective earth instead: that is for a licensed electrician."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if not entry.ground_lift or entry.device is None:
            continue
        if not entry.device.is_di:
            yield _on_a_microphone(entry, entry.device)
        elif entry.device.needs_phantom and entry.phantom:
            yield _with_phantom(entry, entry.device)


def _on_a_microphone(entry: BenchInput, device: BenchDevice) -> Finding:
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        _("{entry}: ground lift is on, and {device} is a microphone").format(
            entry=entry.name, device=device.name
        ),
        str(WHY_MIC),
        f"{_('Take it out, and look for the hum where it enters.')} {NEVER_EARTH}",
        Certainty.THUMB,
        (
            Figure(_("ground lift"), pgettext_lazy("ground lift", "on")),
            Figure(_("device"), device.name),
        ),
        edits=(Set(entry.id, "input", {"ground_lift": False}),),
    )


def _with_phantom(entry: BenchInput, device: BenchDevice) -> Finding:
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        _("{entry}: {device} is fed by phantom power with its ground lift on").format(
            entry=entry.name, device=device.name
        ),
        str(WHY_PHANTOM),
        f"{_('Hear that it passes sound at full level, or give it a supply of its own.')} "
        f"{NEVER_EARTH}",
        Certainty.THUMB,
        (
            Figure(_("ground lift"), pgettext_lazy("ground lift", "on")),
            Figure(_("device"), device.name),
        ),
    )


RULE = Rule(KEY, gettext_lazy("Is a ground lift on where it should not be?"), check)
