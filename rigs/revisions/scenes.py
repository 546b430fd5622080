"""Check scenes: held by gear that recalls them, each thing set at most once, numbers not twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from rigs.changes.edits import WHOLE, Change, Value
from rigs.gear import gear_of
from rigs.models import Part, Rig, Scene, SceneEntry, SongSetting, Unit

ONE_WORD = gettext_lazy("The scene says something else of this already. Change that instead.")
STAYS = gettext_lazy("What it is about stays as it is. Take it out, and add another.")
NO_SCENES = gettext_lazy(
    "“{unit}” is no kind of gear that recalls scenes: say on its page what it is."
)
TAKEN = gettext_lazy("Another scene has the number {number} there.")
OTHER_UNIT = gettext_lazy("That scene is recalled by another unit.")
_ABOUT = frozenset({"scene", "what", "unit", "control"})


def check_scenes(rig: Rig, changes: list[Change]) -> None:
    """Raise ValidationError, keyed by field, where scenes would contradict themselves or a song
    would name a scene of another unit. No query where no scene is concerned, four at most."""
    _check_held(rig, [change for change in changes if change.kind == Scene.KIND], changes)
    _check_settings(rig, [change for change in changes if change.kind == SceneEntry.KIND])
    _check_named(rig, changes)


def identity_in_scene(fields: Mapping[str, Value]) -> tuple[Value, ...]:
    """The scene and the thing that a setting is about, which is unique."""
    what = str(fields.get("what") or SceneEntry.What.CONTROL)
    return fields.get("scene"), what, fields.get(what)


def state_after(model: type[Part], rig: Rig, changes: Iterable[Change]) -> dict[str, Any]:
    """Every live part of that kind on the rig once `changes` (of that kind) are made."""
    state = {str(row.pk): row.fields() for row in model.objects.live().filter(rig=rig)}
    for change in changes:
        if change.field == WHOLE:
            state.pop(change.part, None)
            if isinstance(change.new, dict):
                state[change.part] = dict(change.new)
        elif not isinstance(change.new, dict):
            state.setdefault(change.part, {})[change.field] = change.new
    return state


def _check_held(rig: Rig, mine: list[Change], changes: Iterable[Change]) -> None:
    if any(change.field == "unit" for change in mine):
        raise ValidationError({"unit": STAYS})
    if not any(change.new is not None and change.field in (WHOLE, "slot") for change in mine):
        return
    state = state_after(Scene, rig, mine)
    places = Counter(
        (str(fields.get("unit")), str(fields["slot"]).casefold())
        for fields in state.values()
        if fields.get("slot")
    )
    touched = [state[change.part] for change in mine if change.part in state]
    for fields in touched:
        slot = str(fields.get("slot") or "")
        if slot and places[str(fields.get("unit")), slot.casefold()] > 1:
            raise ValidationError({"slot": TAKEN.format(number=slot)})
    _check_gear({str(fields.get("unit")) for fields in touched}, changes)


def _check_gear(units: set[str], changes: Iterable[Change]) -> None:
    held = {
        str(pk): (name, gear)
        for pk, name, gear in Unit.objects.filter(pk__in=[UUID(unit) for unit in units])
        .order_by()
        .values_list("pk", "name", "gear")
    }
    for change in changes:
        if change.kind == Unit.KIND and isinstance(change.new, dict):
            held[change.part] = (str(change.new.get("name")), str(change.new.get("gear") or ""))
    for name, gear in (held[unit] for unit in units if unit in held):
        if not gear_of(gear).holds_scenes:
            raise ValidationError({"unit": NO_SCENES.format(unit=name)})


def _check_settings(rig: Rig, mine: list[Change]) -> None:
    for change in mine:
        if change.field in _ABOUT:
            raise ValidationError({change.field: STAYS})
    if not any(isinstance(change.new, dict) for change in mine):
        return
    counts = Counter(map(identity_in_scene, state_after(SceneEntry, rig, mine).values()))
    if any(count > 1 for count in counts.values()):
        raise ValidationError(ONE_WORD)


def _check_named(rig: Rig, changes: list[Change]) -> None:
    """That a scene which a song names is one of the unit that the song names with it."""
    mine = [change for change in changes if change.kind == SongSetting.KIND]
    if not any(_names_scene(change) for change in mine):
        return
    state = state_after(SongSetting, rig, mine)
    touched = [state[change.part] for change in mine if change.part in state]
    named = {UUID(str(fields["scene"])) for fields in touched if fields.get("scene")}
    rows = Scene.objects.filter(pk__in=named)
    owners = {str(pk): str(unit) for pk, unit in rows.values_list("pk", "unit")}
    for change in changes:
        if change.kind == Scene.KIND and isinstance(change.new, dict):
            owners[change.part] = str(change.new.get("unit"))
    for fields in touched:
        scene = str(fields.get("scene") or "")
        if scene and owners.get(scene) != str(fields.get("unit")):
            raise ValidationError({"scene": OTHER_UNIT})


def _names_scene(change: Change) -> bool:
    if isinstance(change.new, dict):
        return bool(change.new.get("scene"))
    return change.field == "scene" and change.new is not None
