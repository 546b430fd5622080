"""A channel of the desk that is given to two inputs of the show."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.channels import used_twice
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage

KEY = "channel_twice"
WHY = "One of them has no way into the desk, or both are mixed before it without anybody saying so."


def check(stage: Stage) -> Iterator[Finding]:
    for channel in used_twice(entry.channel for entry in stage.inputs):
        inputs = [entry for entry in stage.inputs if entry.channel == channel]
        names = " and ".join(entry.in_full for entry in inputs)
        yield Finding(
            KEY,
            tuple(entry.id for entry in inputs),
            Severity.LOOK,
            f"Channel {channel} stands for {names}",
            WHY,
            "Give one of them another channel: for all shows on its rig, or for this show alone.",
            Certainty.CERTAIN,
            (Figure("channel", str(channel)),),
        )


RULE = Rule(KEY, "Does a channel stand for two inputs?", check)
