"""A passive ribbon on a channel with phantom power."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.edits import Set
from rigs.checks.bench import Bench
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "phantom_on_ribbon"
WHY = gettext_lazy(
    "Through a sound cable phantom power does a passive ribbon no harm; "
    "through a faulty cable, a patchbay or a wrong wire it can stretch the "
    "ribbon."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.device and entry.device.principle == "ribbon" and entry.phantom:
            yield Finding(
                KEY,
                (entry.id,),
                Severity.CAUTION,
                _("{entry}: phantom power on a passive ribbon").format(entry=entry.name),
                str(WHY),
                _(
                    "Switch phantom off and wait for it to drain before anything is plugged "
                    "or pulled."
                ),
                Certainty.CERTAIN,
                (Figure(_("microphone"), entry.device.name),),
                edits=(Set(entry.id, "input", {"phantom": False}),),
            )


RULE = Rule(KEY, gettext_lazy("Is a passive ribbon on a channel with phantom power?"), check)
