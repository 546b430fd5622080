"""Whether a valve amplifier has something on its speaker output that bears its power."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.gear import Has

KEY = "speaker_load"
WHY = (
    "A valve amplifier that runs without a load can destroy its output transformer and valves "
    "within seconds."
)
MEND = (
    "Connect a cabinet or a load box of the right impedance to the speaker output before the "
    "amplifier is switched on, and take the signal from a line output or behind the load box. If "
    "it has run like this, a qualified technician looks at it first."
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
        asked = [f"whether {unit.name} is a load" for unit in doubtful]
        yield not_measured(KEY, parts, amplifier.name, asked, WHY)
        return
    names = ", ".join(unit.name for unit in reached)
    yield Finding(
        KEY,
        parts,
        Severity.CAUTION,
        f"{amplifier.name}: its speaker output goes into {names}, which is no load for it",
        WHY,
        MEND,
        Certainty.CERTAIN,
        (Figure("on the speaker output", names),),
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


RULE = Rule(KEY, "Does the speaker output of a valve amplifier have a load?", check)
