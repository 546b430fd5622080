"""A channel of the desk that is given to two inputs of the show."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of
from rigs.checks.channels import used_twice
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage

KEY = "channel_twice"
WHY = gettext_lazy(
    "One of them has no way into the desk, or both are mixed before it without anybody saying so."
)


def check(stage: Stage) -> Iterator[Finding]:
    for channel in used_twice(entry.channel for entry in stage.inputs):
        inputs = [entry for entry in stage.inputs if entry.channel == channel]
        names = all_of(entry.in_full for entry in inputs)
        yield Finding(
            KEY,
            tuple(entry.id for entry in inputs),
            Severity.LOOK,
            _("Channel {channel} stands for {names}").format(channel=channel, names=names),
            str(WHY),
            _(
                "Give one of them another channel: for all shows on its rig, or for this "
                "show alone."
            ),
            Certainty.CERTAIN,
            (Figure(_("channel"), str(channel)),),
        )


RULE = Rule(KEY, gettext_lazy("Does a channel stand for two inputs?"), check)
