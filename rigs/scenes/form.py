"""A scene and all that it sets, in one form: which units are in, and where controls stand.

A field left empty is as documented; only what is filled becomes part of the scene. One save is one
change.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Self
from uuid import UUID, uuid4

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.edits import Add, Edit, Retire, Set, Value
from rigs.editing.dials import unread_of_units
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.ordering import in_order, next_position
from rigs.models import Control, Rig, Scene, SceneEntry, Unit
from rigs.models.scenes import UNIT_STATES
from rigs.models.songs import own_id
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict
from rigs.revisions.scenes import identity_in_scene
from rigs.songs.fields import control_field, name_of
from rigs.units.settings_form import check_setting

What = SceneEntry.What
KIND = SceneEntry.KIND
OWN = ("slot", "name")
# Names of fields begin with one of these, then the part's id.
LETTERS = {"u": What.UNIT, "c": What.CONTROL}
SPOKEN_OF = {"u": "t", "c": "c"}  # as rigs.songs.fields names them
GONE = gettext_lazy(
    "“{}” is no longer in the rig: someone else retired it. Look at this page again, then save."
)


class SceneForm(GuardedForm):
    """The form of `scene`, or of a new one on `unit`."""

    kind = Scene.KIND

    def __init__(
        self, rig: Rig, unit: Unit, scene: Scene | None = None, data: QueryDict | None = None
    ) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.unit, self.scene = unit, scene
        self.part: UUID = scene.pk if scene else uuid4()
        # On the state that the page was made from: only then is it known what somebody changed.
        self.own, self.stated = _then(rig, scene, self.base)
        self._by_thing = {identity_in_scene(f): part for part, f in self.stated.items()}
        self.units: list[Unit] = in_order(Unit.objects.live().filter(rig=rig))
        self.controls: list[Control] = in_order(
            Control.objects.live().filter(rig=rig).select_related("unit")
        )
        self.unread = unread_of_units(self.controls)
        self._add_own()
        for each in self.units:
            if each.traits.carries_sound and each.pk != unit.pk:
                self._add(f"u-{each.pk}", _unit_field())
        for control in self.controls:
            self._add(f"c-{control.pk}", control_field(control))
        self.add_reason_fields()
        self.read_choices()

    def _add_own(self) -> None:
        for name in OWN:
            model_field = Scene._meta.get_field(name)
            field = model_field.formfield()  # type: ignore[union-attr]
            assert field is not None  # noqa: S101 - columns with text have one
            self.fields[name] = field
            self.initial[name] = self.own.get(name, "")

    def _add(self, name: str, field: forms.Field) -> None:
        if self.is_bound and self.add_prefix(name) not in self.data:
            return  # it came after this form was opened; nobody emptied it
        self.fields[name] = field
        self.initial[name] = self.stated.get(self._entry(name), {}).get("value") or ""

    def _entry(self, name: str) -> str:
        """The id of the part that holds a field's value, or that it would get."""
        what, about = _about(name)
        known = self._by_thing.get((str(self.part), what, about))
        return known or str(own_id(self.rig.pk, self.part, what, UUID(about)))

    def key(self, name: str) -> Key | None:
        if name in OWN:
            return Key(str(self.part), (name,))
        return Key(self._entry(name), ("value",)) if _is_entry(name) else None

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        controls = {str(each.pk): each for each in self.controls}
        for name in self.typed():
            what, about = _about(name) if _is_entry(name) else ("", "")
            if what == What.CONTROL and self.cleaned_data.get(name):
                control = controls[about]
                check_setting(self, name, control, unread=control in self.unread)
        self._refuse_what_is_gone()
        return self.cleaned_data

    def _refuse_what_is_gone(self) -> None:
        """Report what was typed about a part that is retired by now, instead of dropping it."""
        for name, typed in self.data.items():
            if _is_entry(name) and name not in self.fields and typed:
                letter, about = name.split("-", 1)
                if typed != self.stated.get(self._entry(name), {}).get("value"):
                    self.add_error(None, GONE.format(name_of(self.rig, SPOKEN_OF[letter], about)))

    def edits(self) -> list[Edit]:
        """The edits against the state that the form was opened on; the gateway merges them."""
        typed = self.typed()
        own: dict[str, Any] = {name: self.cleaned_data[name] for name in OWN if name in typed}
        edits: list[Edit] = []
        if self.scene is None:
            fresh = Scene(rig=self.rig, unit=self.unit)
            place: dict[str, Any] = {
                "unit": str(self.unit.pk),
                "position": next_position(fresh),
            }
            edits.append(Add(str(self.part), Scene.KIND, {**place, **own}))
        elif own:
            edits.append(Set(str(self.part), Scene.KIND, own))
        made = (self._edit(name) for name in typed if _is_entry(name))
        return [*edits, *(edit for edit in made if edit is not None)]

    def _edit(self, name: str) -> Edit | None:
        part, value = self._entry(name), self.cleaned_data[name]
        what, about = _about(name)
        if part in self.stated:
            return Set(part, KIND, {"value": value}) if value else Retire(part, KIND)
        fields: dict[str, Value] = {"scene": str(self.part), "what": what, what: about}
        return Add(part, KIND, {**fields, "value": value}) if value else None

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, self.unit, self.scene)
        at_stake = [n for clash in conflict.clashes for n in self.fields_of(clash)]
        form.conflicted = True
        form.asked = dict.fromkeys(at_stake, self.base)
        form.now_texts = {name: form.now_text(name) for name in at_stake}
        form.retain_typed(self, self.typed())
        return form

    def now_text(self, name: str) -> str:
        return super().now_text(name) or ("" if name in OWN else _("as documented"))

    def panel_label(self, name: str) -> str:
        about = _about(name)[1] if _is_entry(name) else ""
        control = next((each for each in self.controls if str(each.pk) == about), None)
        if control is not None:
            return f"{control.unit}, {control}"
        unit = next((each for each in self.units if str(each.pk) == about), None)
        return str(unit) if unit else super().panel_label(name)

    # What the page shows.

    @property
    def own_fields(self) -> list[forms.BoundField]:
        return [field for field in self.open_fields if field.name in OWN]

    @property
    def unit_rows(self) -> list[tuple[Unit, list[forms.BoundField], bool]]:
        """Each unit with its fields, in the order of the rig, and whether the scene sets one."""
        shown = {field.name: field for field in self.open_fields}
        rows = []
        for unit in self.units:
            own = [f"u-{unit.pk}", *(f"c-{c.pk}" for c in self.controls if c.unit_id == unit.pk)]
            bound = [shown[name] for name in own if name in shown]
            if bound:
                rows.append((unit, bound, any(f.value() or f.errors for f in bound)))
        return rows


def _then(
    rig: Rig, scene: Scene | None, base: int
) -> tuple[Mapping[str, Value], dict[str, Mapping[str, Value]]]:
    """The fields of the scene and of its entries, by their ids, after change `base`."""
    if scene is None:
        return {}, {}
    if base == rig.head_number:
        rows = SceneEntry.objects.live().filter(scene=scene)
        now: dict[str, Mapping[str, Value]] = {str(row.pk): row.fields() for row in rows}
        return scene.fields(), now
    state = as_of(rig, base)
    entries: dict[str, Mapping[str, Value]] = {
        part: fields
        for part, fields in state.items()
        if fields["kind"] == KIND and fields.get("scene") == str(scene.pk)
    }
    return state.get(str(scene.pk), {}), entries


def _unit_field() -> forms.ChoiceField:
    choices = [("", _("as wired")), *UNIT_STATES.items()]
    return forms.ChoiceField(label=_("In the path"), required=False, choices=choices)


def _is_entry(name: str) -> bool:
    letter, dash, _ = name.partition("-")
    return bool(dash) and letter in LETTERS


def _about(name: str) -> tuple[str, str]:
    """What a field is about: the kind of thing, and its id."""
    letter, _, about = name.partition("-")
    return str(LETTERS[letter]), about
