"""Phantom power that two desks give, or that a split does not let through.

What a split lets through is common practice, no source: a passive one joins the desks, so that
phantom power passes from either; through a transformer it passes from the direct side alone; an
active one gives it itself.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.stage import Stage, StageInput

KEY = "split_phantom"
BOTH_WHY = (
    "Through a passive split the two supplies meet in one line: either desk switches the "
    "microphone whatever the other says, and who switches off at the end does not switch it off."
)
BLOCKED_WHY = "Direct current does not pass a transformer: the microphone or DI stays dead."
UNFED_WHY = "The microphone or DI needs phantom power, and nothing gives it."
ASKED_WHY = (
    "Through a passive split either desk can give phantom power, and both or neither do where "
    "nobody has agreed."
)
_DESKS = {"foh": "the FOH desk", "monitor": "the monitor desk"}


def check(stage: Stage) -> Iterator[Finding]:
    for entry in stage.inputs:
        line = entry.patch
        if line.split == "passive" and line.phantom_from == "both":
            yield _finding(
                entry,
                "both desks give phantom power over a passive split",
                BOTH_WHY,
                "Agree which desk gives it, and switch it off at the other, both channels muted.",
            )
        elif entry.phantom and (found := _not_given(entry)) is not None:
            yield found


def _not_given(entry: StageInput) -> Finding | None:
    line = entry.patch
    if line.split == "transformer" and line.phantom_from in ("foh", "monitor", "split"):
        if not line.direct:
            return not_measured(
                KEY, (entry.id,), entry.in_full, ["the direct side of the split"], BLOCKED_WHY
            )
        if line.phantom_from == "split":
            return _unfed(entry, "a transformer gives no phantom power")
        if line.phantom_from != line.direct:
            desk = _DESKS[line.phantom_from]
            return _finding(
                entry,
                f"phantom power from {desk} does not pass the transformer of the split",
                BLOCKED_WHY,
                f"Give it from {_DESKS[line.direct]}, which is on the direct side.",
            )
    if line.split in ("passive", "none") and line.phantom_from == "split":
        return _unfed(entry, "that split gives no phantom power")
    if line.split == "passive" and not line.phantom_from:
        return not_measured(
            KEY, (entry.id,), entry.in_full, ["what gives phantom power"], ASKED_WHY
        )
    return None


def _unfed(entry: StageInput, what: str) -> Finding:
    return _finding(entry, what, UNFED_WHY, "Give it from a desk that the line reaches.")


def _finding(entry: StageInput, what: str, why: str, mend: str) -> Finding:
    return Finding(
        KEY,
        (entry.id,),
        Severity.CAUTION,
        f"{entry.in_full}: {what}",
        why,
        mend,
        Certainty.THUMB,
        (Figure("split", entry.patch.split), Figure("phantom from", entry.patch.phantom_from)),
    )


RULE = Rule(KEY, "Does phantom power reach each line over its split, from one desk?", check)
