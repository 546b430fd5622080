"""Phantom power on a channel whose microphone or DI is not entered as needing it.

A passive ribbon is the business of rigs.checks.rules.phantom_on_ribbon.
"""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.edits import Set
from rigs.checks.bench import Bench
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "phantom_unneeded"
WHY = gettext_lazy(
    "Whoever plugs something else in there, or pulls a plug, does it on a "
    "live line: it cracks in the loudspeakers and can harm what was not made "
    "for it."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        device = entry.device
        if device is None or device.needs_phantom or device.principle == "ribbon":
            continue
        if entry.phantom:
            yield Finding(
                KEY,
                (entry.id,),
                Severity.LOOK,
                _("{entry}: phantom power is on, and {device} does not need it").format(
                    entry=entry.name, device=device.name
                ),
                str(WHY),
                _(
                    "Switch phantom off with the channel muted, or enter that the microphone "
                    "or DI needs it."
                ),
                Certainty.CERTAIN,
                (Figure(_("device"), device.name),),
                edits=(Set(entry.id, "input", {"phantom": False}),),
            )


RULE = Rule(
    KEY, gettext_lazy("Is phantom power on where the microphone or DI does not need it?"), check
)
