"""Inputs without a way, and lines that do not reach a desk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageInput

KEY = "no_way"
WHY = gettext_lazy(
    "Nobody on stage can know where to plug it in, and it is found out at the line check."
)
LOOSE_WHY = gettext_lazy(
    "The line ends on the stage: nothing says what its last way is plugged into."
)


def check(stage: Stage) -> Iterator[Finding]:
    # Before there is a box nobody can have given a way, and each input would be told.
    if not stage.has_boxes:
        return
    without = [entry for entry in stage.inputs if not entry.patch.passed]
    if without:
        yield _without(without)
    for entry in stage.inputs:
        if entry.patch.passed and not entry.patch.lands:
            yield _loose(entry)


def _without(inputs: Sequence[StageInput]) -> Finding:
    named = listed([entry.in_full for entry in inputs])
    title = ngettext(
        "One input without a way: {names}", "{n} inputs without a way: {names}", len(inputs)
    )
    return Finding(
        KEY,
        tuple(entry.id for entry in inputs),
        Severity.LOOK,
        title.format(n=len(inputs), names=named),
        str(WHY),
        _("Give each a box and a way."),
        Certainty.CERTAIN,
        (Figure(_("inputs"), named),),
    )


def _loose(entry: StageInput) -> Finding:
    path, is_circle = entry.patch.path, entry.patch.circle
    title = (
        _("The line of {entry} runs in a circle: {path}")
        if is_circle
        else _("The line of {entry} ends before the desk: {path}")
    )
    mend = (
        _("Take one of the runs away.")
        if is_circle
        else _("Say what that way is plugged into, or that the ways of its box go to the desk.")
    )
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        title.format(entry=entry.in_full, path=path),
        str(LOOSE_WHY),
        mend,
        Certainty.CERTAIN,
        (Figure(_("line"), path),),
    )


RULE = Rule(KEY, gettext_lazy("Has each input a way that reaches a desk?"), check)
