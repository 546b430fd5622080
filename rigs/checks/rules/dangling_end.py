"""Units whose sound reaches neither a loudspeaker nor an input, and inputs without a sound."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from rigs.checks.bench import Bench, BenchInput, BenchUnit
from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "dangling_end"


def check(bench: Bench) -> Iterator[Finding]:
    if not bench.audio_links():
        return  # no path is documented yet
    # A room microphone or a submix of another rig may be what takes it up: nothing is certain then.
    if not bench.heard_elsewhere:
        yield from _nowhere(bench)
    fed = {link.target for link in bench.audio_links()}
    for entry in bench.inputs:
        for unit in entry.units:
            if unit.traits.needs_sound and unit.id not in fed:
                yield _hears_nothing(entry, unit)


def _nowhere(bench: Bench) -> Iterator[Finding]:
    """The findings of units whose sound is not heard, found by following the cables backwards."""
    heard = {unit.id for unit in bench.units.values() if unit.traits.heard}
    heard |= {unit.id for entry in bench.inputs for unit in entry.units}
    feeding: dict[str, list[str]] = defaultdict(list)
    for link in bench.audio_links():
        feeding[link.target].append(link.source)
    waiting = list(heard)
    while waiting:
        for source in feeding[waiting.pop()]:
            if source not in heard:
                heard.add(source)
                waiting.append(source)
    for unit in bench.units.values():
        if unit.id not in heard and unit.traits.carries_sound and not unit.traits.may_end:
            yield _leads_nowhere(unit, bench)


def _leads_nowhere(unit: BenchUnit, bench: Bench) -> Finding:
    onward = [bench.units[x.target].name for x in bench.audio_links() if x.source == unit.id]
    return Finding(
        KEY,
        (unit.id,),
        Severity.LOOK,
        _("{unit}: its sound reaches neither a loudspeaker nor an input").format(unit=unit.name),
        _(
            "Nobody hears it, or a cable or an input is not on record; a stranger "
            "would leave it so."
        ),
        _("Add the cable or the input that is missing, or retire what is no longer used."),
        Certainty.CERTAIN,
        (
            Figure(
                _("goes on to"),
                listed(onward) if onward else pgettext_lazy("goes on to", "nothing"),
            ),
        ),
    )


def _hears_nothing(entry: BenchInput, unit: BenchUnit) -> Finding:
    return Finding(
        KEY,
        (entry.id, unit.id),
        Severity.LOOK,
        _("{entry}: nothing feeds {unit}").format(entry=entry.name, unit=unit.name),
        _(
            "The input picks up gear that makes no sound of its own, and no cable "
            "leads a sound to it."
        ),
        _("Add the cable into {unit}, or say what the input takes its sound from.").format(
            unit=unit.name
        ),
        Certainty.CERTAIN,
        (Figure(_("cables into it"), pgettext_lazy("cables", "none")),),
    )


RULE = Rule(KEY, gettext_lazy("Is every sound picked up, and does every input get one?"), check)
