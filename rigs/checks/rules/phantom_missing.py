"""A microphone or DI that needs phantom power on a channel without it."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench
from rigs.checks.figures import Figure
from rigs.checks.findings import Finding, Rule, Severity, Sure

KEY = "phantom_missing"
WHY = "Without its supply it passes nothing, or passes it weak and distorted."


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.device and entry.device.needs_phantom and not entry.phantom:
            yield Finding(
                KEY,
                (entry.id,),
                Severity.CAUTION,
                f"{entry.name}: {entry.device.name} needs phantom power, which is off",
                WHY,
                "Switch phantom on with the channel muted, or record that it has its own supply.",
                Sure.CERTAIN,
                (Figure("device", entry.device.name),),
            )


RULE = Rule(KEY, "Is phantom power off where the device needs it?", check)
