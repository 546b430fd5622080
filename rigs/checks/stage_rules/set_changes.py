"""A change between two songs of the show's own set that takes longer than there is time."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext_lazy

from rigs.checks.findings import Finding, Rule
from rigs.checks.short_changes import short_changes
from rigs.checks.stage import Stage

KEY = "set_changes"


def check(stage: Stage) -> Iterator[Finding]:
    for rig in stage.rigs:
        moves = stage.changes.moves.get(rig.id, ())
        yield from short_changes(KEY, moves, stage.changes.times, rig.player_name)


RULE = Rule(KEY, gettext_lazy("Is there time between the songs of this show's set?"), check)
