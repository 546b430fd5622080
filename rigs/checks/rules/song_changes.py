"""A change of instrument or a retune between two songs that takes longer than the gap."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench
from rigs.checks.between_songs import PlayedInstrument, moves
from rigs.checks.findings import Finding, Rule
from rigs.checks.short_changes import short_changes

KEY = "song_changes"


def check(bench: Bench) -> Iterator[Finding]:
    held = [PlayedInstrument(u.id, u.name, u.gear, u.tuning) for u in bench.units.values()]
    return short_changes(KEY, moves(bench.in_order, held, bench.times), bench.times)


RULE = Rule(
    KEY, gettext_lazy("Is there time between two songs for what the next one needs?"), check
)
