"""Phantom power that two desks give, or that a split does not let through.

What a split lets through is common practice, no source: a passive one joins the desks, so that
phantom power passes from either; through a transformer it passes from the direct side alone; an
active one gives it itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.stage import Stage, StageInput

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "split_phantom"
BOTH_WHY = gettext_lazy(
    "Through a passive split the two supplies meet in one line: either desk "
    "switches the microphone whatever the other says, and who switches off "
    "at the end does not switch it off."
)
BLOCKED_WHY = gettext_lazy(
    "Direct current does not pass a transformer: the microphone or DI stays dead."
)
UNFED_WHY = gettext_lazy("The microphone or DI needs phantom power, and nothing gives it.")
ASKED_WHY = gettext_lazy(
    "Through a passive split either desk can give phantom power, and both or "
    "neither do where nobody has agreed."
)
BOTH = gettext_lazy("{entry}: both desks give phantom power over a passive split")
BLOCKED: dict[str, StrOrPromise] = {
    "foh": gettext_lazy(
        "{entry}: phantom power from the FOH desk does not pass the transformer of the split"
    ),
    "monitor": gettext_lazy(
        "{entry}: phantom power from the monitor desk does not pass the transformer of the split"
    ),
}
FROM_DIRECT: dict[str, StrOrPromise] = {
    "foh": gettext_lazy("Give it from the FOH desk, which is on the direct side."),
    "monitor": gettext_lazy("Give it from the monitor desk, which is on the direct side."),
}
# What its figures show: in English the keys themselves.
SPLITS: dict[str, StrOrPromise] = {
    "none": pgettext_lazy("split", "none"),
    "passive": pgettext_lazy("split", "passive"),
    "transformer": pgettext_lazy("split", "transformer"),
    "active": pgettext_lazy("split", "active"),
}
SUPPLIES: dict[str, StrOrPromise] = {
    "foh": pgettext_lazy("phantom power from", "foh"),
    "monitor": pgettext_lazy("phantom power from", "monitor"),
    "both": pgettext_lazy("phantom power from", "both"),
    "split": pgettext_lazy("phantom power from", "split"),
}


def check(stage: Stage) -> Iterator[Finding]:
    for entry in stage.inputs:
        line = entry.patch
        if line.split == "passive" and line.phantom_from == "both":
            mend = _(
                "Agree which desk gives it, and switch it off at the other, both channels muted."
            )
            yield _finding(entry, BOTH, BOTH_WHY, mend)
        elif entry.phantom and (found := _not_given(entry)) is not None:
            yield found


def _not_given(entry: StageInput) -> Finding | None:
    line = entry.patch
    if line.split == "transformer" and line.phantom_from in ("foh", "monitor", "split"):
        if not line.direct:
            missing = [gettext_lazy("the direct side of the split")]
            return not_measured(KEY, (entry.id,), entry.in_full, missing, BLOCKED_WHY)
        if line.phantom_from == "split":
            return _unfed(entry, _("{entry}: a transformer gives no phantom power"))
        if line.phantom_from != line.direct:
            title, mend = BLOCKED[line.phantom_from], FROM_DIRECT[line.direct]
            return _finding(entry, title, BLOCKED_WHY, mend)
    if line.split in ("passive", "none") and line.phantom_from == "split":
        return _unfed(entry, _("{entry}: that split gives no phantom power"))
    if line.split == "passive" and not line.phantom_from:
        missing = [gettext_lazy("what gives phantom power")]
        return not_measured(KEY, (entry.id,), entry.in_full, missing, ASKED_WHY)
    return None


def _unfed(entry: StageInput, title: str) -> Finding:
    return _finding(entry, title, UNFED_WHY, _("Give it from a desk that the line reaches."))


def _finding(
    entry: StageInput, title: StrOrPromise, why: StrOrPromise, mend: StrOrPromise
) -> Finding:
    split, supply = entry.patch.split, entry.patch.phantom_from
    return Finding(
        KEY,
        (entry.id,),
        Severity.CAUTION,
        title.format(entry=entry.in_full),
        str(why),
        str(mend),
        Certainty.THUMB,
        (
            Figure(_("split"), SPLITS.get(split, split)),
            Figure(_("phantom from"), SUPPLIES.get(supply, supply)),
        ),
    )


RULE = Rule(
    KEY, gettext_lazy("Does phantom power reach each line over its split, from one desk?"), check
)
