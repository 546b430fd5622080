"""Whether a valve amplifier has something on its speaker output that bears its power."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.gear import Has

KEY = "speaker_load"
WHY = gettext_lazy(
    "A valve amplifier that runs without a load can destroy its output "
    "transformer and valves within seconds."
)
MEND = gettext_lazy(
    "Connect a cabinet or a load box of the right impedance to the speaker "
    "output before the amplifier is switched on, and take the signal from a "
    "line output or behind the load box. If it has run like this, a "
    "qualified technician looks at it first."
)


def check(bench: Bench) -> Iterator[Finding]:
    for unit in bench.units.values():
        traits = unit.traits
        if traits.drives_loudspeakers and traits.valves is not Has.NO and not traits.loudspeaker:
            yield from _of(bench, unit)


def _of(bench: Bench, amplifier: BenchUnit) -> Iterator[Finding]:
    """Findings of one amplifier; none if nothing is connected, which the rule tap_load reports."""
    reached = _behind(bench, amplifier)
    bears = {unit.traits.bears_speaker_power for unit in reached}
    # One part that bears the power is load enough, wherever it stands in the chain.
    if not reached or Has.YES in bears:
        return
    parts = (amplifier.id, *(unit.id for unit in reached))
    doubtful = [unit for unit in reached if unit.traits.bears_speaker_power is Has.PERHAPS]
    if doubtful:
        asked = [
            format_lazy(gettext_lazy("whether {unit} is a load"), unit=unit.name)
            for unit in doubtful
        ]
        yield not_measured(KEY, parts, amplifier.name, asked, WHY)
        return
    names = listed([unit.name for unit in reached])
    yield Finding(
        KEY,
        parts,
        Severity.CAUTION,
        _("{amplifier}: its speaker output goes into {names}, which is no load for it").format(
            amplifier=amplifier.name, names=names
        ),
        str(WHY),
        str(MEND),
        Certainty.CERTAIN,
        (Figure(_("on the speaker output"), names),),
    )


def _behind(bench: Bench, amplifier: BenchUnit) -> list[BenchUnit]:
    """All that speaker cables lead to from the amplifier, nearest first; loops end."""
    cabinets: dict[str, BenchUnit] = {}
    queue = [amplifier.id]
    while queue:
        for link in bench.links_from(queue.pop(0), "speaker"):
            if link.target not in cabinets and link.target != amplifier.id:
                cabinets[link.target] = bench.units[link.target]
                queue.append(link.target)
    return list(cabinets.values())


RULE = Rule(KEY, gettext_lazy("Does the speaker output of a valve amplifier have a load?"), check)
