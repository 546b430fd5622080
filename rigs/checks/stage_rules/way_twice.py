"""Two inputs that meet at one way of a box, or a way that another act takes that day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import reduce

from django.utils.functional import lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageInput, StageLine, Way

KEY = "way_twice"
WHY = gettext_lazy(
    "One plug goes into a way: of two microphones one is not heard, or goes to the wrong channel."
)
MEND = gettext_lazy(
    "Give one of them another way. Where one microphone feeds two channels, name it at both."
)
LENT_WHY = gettext_lazy(
    "What is plugged there for one act is silent for the other until somebody plugs it anew."
)
LENT_MEND = gettext_lazy(
    "Plug it anew at the changeover and put that on its list, give the other "
    "act another way, or say at what is lent that both use what is plugged."
)


def shared_ways(lines: Mapping[str, StageLine]) -> list[tuple[Way, list[str]]]:
    """Each way at which lines meet, with the keys of those lines.

    Lines that meet go on together, so that the same lines are told once, at the first such way.
    """
    at: dict[Way, list[str]] = {}
    for key, line in lines.items():
        for way in line.passed:
            at.setdefault(way, []).append(key)
    found: dict[tuple[str, ...], Way] = {}
    for way, keys in at.items():
        if len(keys) > 1:
            found.setdefault(tuple(keys), way)
    return [(way, list(keys)) for keys, way in found.items()]


def check(stage: Stage) -> Iterator[Finding]:
    inputs = {entry.id: entry for entry in stage.inputs}
    for way, ids in shared_ways({each.id: each.patch for each in stage.inputs}):
        meeting = [inputs[each] for each in ids]
        if not _is_one_microphone(meeting):
            yield _twice(way, meeting)
    for entry in stage.inputs:
        if entry.patch.lent:
            yield _lent(entry)


def _is_one_microphone(inputs: Sequence[StageInput]) -> bool:
    """Whether it is one device at one unit on two channels, as `devices_owned` counts it."""
    first = inputs[0]
    return bool(first.device and first.units) and all(
        (each.device, each.units, each.patch.passed)
        == (first.device, first.units, first.patch.passed)
        for each in inputs
    )


def _twice(way: Way, inputs: Sequence[StageInput]) -> Finding:
    line = inputs[0].patch
    named = line.names[line.passed.index(way)]
    return Finding(
        KEY,
        tuple(entry.id for entry in inputs),
        Severity.CAUTION,
        _("{way} is given to {names}").format(
            way=named, names=all_of(entry.in_full for entry in inputs)
        ),
        str(WHY),
        str(MEND),
        Certainty.CERTAIN,
        (Figure(_("way"), named),),
    )


def _lent(entry: StageInput) -> Finding:
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        _("{entry} is on {path}, which {acts} takes, too").format(
            entry=entry.in_full, path=entry.patch.path, acts=all_of(entry.patch.lent)
        ),
        str(LENT_WHY),
        str(LENT_MEND),
        Certainty.CERTAIN,
        (
            Figure(_("way"), entry.patch.path),
            Figure(_("other act"), _lazily_joined(entry.patch.lent)),
        ),
    )


def _joined(acts: tuple[str, ...]) -> str:
    # Pair by pair, as findings have been signed so far.
    return reduce(lambda one, other: all_of((one, other)), acts)


_lazily_joined = lazy(_joined, str)


RULE = Rule(
    KEY, gettext_lazy("Does a way of a box stand for two inputs, or for another act?"), check
)
