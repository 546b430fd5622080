"""Inputs without a way, and lines that do not reach a desk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageInput

KEY = "no_way"
WHY = "Nobody on stage can know where to plug it in, and it is found out at the line check."
LOOSE_WHY = "The line ends on the stage: nothing says what its last way is plugged into."


def check(stage: Stage) -> Iterator[Finding]:
    # Before there is a box nobody can have given a way, and each input would be told.
    if not stage.has_boxes:
        return
    without = [entry for entry in stage.inputs if not entry.patch.passed]
    if without:
        yield _finding(without, WHY, "Give each a box and a way.", "without a way")
    for entry in stage.inputs:
        if entry.patch.passed and not entry.patch.lands:
            yield _loose(entry)


def _finding(inputs: Sequence[StageInput], why: str, mend: str, what: str) -> Finding:
    named = ", ".join(entry.in_full for entry in inputs)
    count = "One input" if len(inputs) == 1 else f"{len(inputs)} inputs"
    return Finding(
        KEY,
        tuple(entry.id for entry in inputs),
        Severity.LOOK,
        f"{count} {what}: {named}",
        why,
        mend,
        Certainty.CERTAIN,
        (Figure("inputs", named),),
    )


def _loose(entry: StageInput) -> Finding:
    path, is_circle = entry.patch.path, entry.patch.circle
    how = "runs in a circle" if is_circle else "ends before the desk"
    mend = (
        "Take one of the runs away."
        if is_circle
        else "Say what that way is plugged into, or that the ways of its box go to the desk."
    )
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        f"The line of {entry.in_full} {how}: {path}",
        LOOSE_WHY,
        mend,
        Certainty.CERTAIN,
        (Figure("line", path),),
    )


RULE = Rule(KEY, "Has each input a way that reaches a desk?", check)
