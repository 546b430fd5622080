"""Refuse to swap a device before somebody decided on the settings made for the old one.

What is doubtful, and what is safe, is worked out in rigs.swaps; here it is held against what is on
record.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from core.languages.words import each_of
from rigs.changes.edits import WHOLE, Add, Edit, Set, Snapshot, same
from rigs.models import Device, Input, Rig
from rigs.models.parts import plain_value
from rigs.revisions.plan import Plan, defaults
from rigs.swaps import Known, Stated, Swap, open_swaps

# Part → field → what was decided.
Decided = Mapping[str, Mapping[str, Any]]


class SwapUndecided(ValidationError):
    """A device is swapped and nobody decided on the settings made for the old one.

    Nothing was written.
    """

    def __init__(self, swaps: Sequence[Swap]) -> None:
        self.swaps = list(swaps)
        super().__init__([sentence(swap) for swap in swaps])


def sentence(swap: Swap) -> str:
    """A swap as one sentence: “7 Bass mic: … Safe: phantom power off.”"""
    whys = " ".join(doubt.why for doubt in swap.doubts)
    safe = each_of(doubt.proposal for doubt in swap.doubts)
    return _("{input}: {doubts} Safe: {values}.").format(input=swap.name, doubts=whys, values=safe)


def stated_by(edits: Iterable[Edit]) -> Stated:
    """The fields that the edits set, by part: what is set was set knowingly."""
    by_part: dict[str, set[str]] = {}
    for edit in edits:
        if isinstance(edit, Add | Set):
            by_part.setdefault(edit.part, set()).update(edit.fields)
    return by_part


def check_swaps(plan: Plan, stated: Stated) -> None:
    """Raise SwapUndecided unless what the swaps in `plan` make doubtful is `stated`.

    One query where an input gets another device or phantom power, none otherwise.
    """
    before: Snapshot = {}
    after: Snapshot = {}
    for change in plan.changes:
        row = plan.rows.get(change.part)
        if not isinstance(row, Input) or (change.field == WHOLE and change.new is None):
            continue
        before.setdefault(change.part, row.fields())
        fields = after.setdefault(change.part, dict(before[change.part]))
        if isinstance(change.new, dict):
            after[change.part] = dict(change.new)
        else:
            fields[change.field] = change.new
    undecided = swaps_between(before, after, stated)
    if undecided:
        raise SwapUndecided(undecided)


def swaps_between(before: Snapshot, after: Snapshot, stated: Stated | None = None) -> list[Swap]:
    """The swaps between two states that are not decided. One query, or none."""
    at_stake = [
        part
        for part in before.keys() & after.keys()
        if any(before[part].get(name) != after[part].get(name) for name in ("device", "phantom"))
    ]
    if not at_stake:
        return []
    named = {state[part].get("device") for state in (before, after) for part in at_stake}
    return open_swaps(before, after, _devices(named), stated or {})


def _devices(ids: Iterable[object]) -> dict[str, Known]:
    devices = Device.objects.filter(pk__in=[each for each in ids if each])
    return {str(device.pk): known(device) for device in devices}


def known(device: Device) -> Known:
    """The properties of a device that decide what is doubtful when it is swapped."""
    # A sensitivity of 0 is a field that somebody filled to get past it.
    mv_pa = device.sensitivity_mv_pa
    return Known(
        str(device.pk),
        str(device),
        device.form == Device.Form.DI,
        device.principle,
        device.phantom,
        float(mv_pa) / 1000 if mv_pa else None,
    )


def swap_of(entry: Input, not_asked: Collection[str] = (), **new: Any) -> list[Swap]:
    """The doubts where `entry` gets the values `new`, which are all that is decided.

    `not_asked` are fields that cannot be set there.
    """
    part, now = str(entry.pk), entry.fields()
    then = decided_on({part: now}, {part: new})
    return swaps_between({part: now}, then, {part: {*new, *not_asked}})


def swaps_of_restoring(rig: Rig, now: Snapshot, target: Snapshot) -> list[Swap]:
    """The doubts that restoring the state `target` raises; retired inputs may come back."""
    left = Input.objects.filter(rig=rig, retired=True)
    return swaps_between({**{str(row.pk): row.fields() for row in left}, **now}, target)


def decided_on(state: Snapshot, decided: Decided) -> Snapshot:
    """`state` with the decided values put in; fields at their default are left out."""
    result = dict(state)
    usual = defaults()["input"]
    for part, values in decided.items():
        if part not in result:
            continue
        fields = dict(result[part])
        for name, value in values.items():
            stated = plain_value(value)
            if stated is None or same(stated, usual.get(name)):
                fields.pop(name, None)
            else:
                fields[name] = stated
        result[part] = fields
    return result
