"""A passive ribbon on a channel with phantom power."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.changes.edits import Set
from rigs.checks.bench import Bench
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "phantom_on_ribbon"
WHY = (
    "Through a sound cable phantom power does a passive ribbon no harm; through a faulty cable, a "
    "patchbay or a wrong wire it can stretch the ribbon."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.device and entry.device.principle == "ribbon" and entry.phantom:
            yield Finding(
                KEY,
                (entry.id,),
                Severity.CAUTION,
                f"{entry.name}: phantom power on a passive ribbon",
                WHY,
                "Switch phantom off and wait for it to drain before anything is plugged or pulled.",
                Certainty.CERTAIN,
                (Figure("microphone", entry.device.name),),
                edits=(Set(entry.id, "input", {"phantom": False}),),
            )


RULE = Rule(KEY, "Is a passive ribbon on a channel with phantom power?", check)
