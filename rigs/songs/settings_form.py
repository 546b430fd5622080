"""What one song changes on one rig: every control, tuning and input, and the cues, in one form.

A field left empty is as usual; only what is filled becomes a difference. One save is one change.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any, Self
from uuid import UUID

from django import forms
from django.http import QueryDict

from core.models import Section, Song
from rigs.changes.edits import Edit
from rigs.editing.dials import unread_dials
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.ordering import in_order
from rigs.models import Control, Input, Rig, SongSetting, Unit
from rigs.revisions.record import Conflict
from rigs.songs.edits import SongThen
from rigs.songs.fields import (
    CUE_COLUMNS,
    SPOKEN_OF,
    Slot,
    What,
    control_field,
    cue_fields,
    input_field,
    instrument_field,
    name_of,
    tuning_field,
)
from rigs.units.settings_form import check_setting

NEW_CUES = 2
GONE = "“{}” is no longer in the rig: someone else retired it. Look at this page again, then save."
WORDLESS = "Say what is to happen there."


class SongSettingsForm(GuardedForm):
    """The form on what `song` changes on `rig`.

    `then` is what the song said on the state that the form was opened on.
    """

    kind = SongSetting.KIND

    def __init__(self, rig: Rig, song: Song, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.song = song
        self.slots: dict[str, Slot] = {}
        # On the state that the page was made from: only then is it known what somebody changed.
        self.then = SongThen(rig, song, self.base)
        self.units: list[Unit] = in_order(Unit.objects.live().filter(rig=rig))
        self.controls: list[Control] = in_order(
            Control.objects.live().filter(rig=rig).select_related("unit")
        )
        self.unread = self._unread_dials()
        self.inputs: list[Input] = in_order(Input.objects.live().filter(rig=rig))
        self._add_parts()
        self._add_cues()
        self.add_reason_fields()
        self.read_choices()

    def _unread_dials(self) -> list[Control]:
        by_unit: dict[UUID, list[Control]] = defaultdict(list)
        for control in self.controls:
            by_unit[control.unit_id].append(control)
        return [dial for controls in by_unit.values() for dial in unread_dials(controls)]

    def _add_parts(self) -> None:
        played = Slot(What.INSTRUMENT, "unit")
        instrument = instrument_field(self.units, self.then.value(played))
        if instrument is not None:
            self._add("instrument", instrument, played)
        for unit in self.units:
            if unit.tuning or unit.traits.strung:
                slot = Slot(What.TUNING, "value", unit.pk)
                self._add(f"t-{unit.pk}", tuning_field(unit), slot)
        for control in self.controls:
            slot = Slot(What.CONTROL, "value", control.pk)
            self._add(f"c-{control.pk}", control_field(control), slot)
        for entry in self.inputs:
            self._add(f"i-{entry.pk}", input_field(entry), Slot(What.INPUT, "value", entry.pk))

    def _add_cues(self) -> None:
        sections = list(Section.objects.filter(song=self.song))
        names = self.then.cues()
        names += [f"new{number}" for number in range(1, NEW_CUES + 1)]
        # Asked about and gone meanwhile: who wants it back sends it once more.
        sent = [name.removeprefix("asked-q-") for name in self.data if name.startswith("asked-q-")]
        names += [
            name for name in sent if name not in names and not name.endswith(("-at", "-section"))
        ]
        for cue in names:
            held = self.then.value(Slot(What.CUE, "section", cue=cue))
            for ending, field in cue_fields(sections, held).items():
                self._add(f"q-{cue}{ending}", field, Slot(What.CUE, CUE_COLUMNS[ending], cue=cue))

    def _add(self, name: str, field: forms.Field, slot: Slot) -> None:
        if self.is_bound and self.add_prefix(name) not in self.data:
            return  # it came after this form was opened; nobody emptied it
        value = self.then.value(slot)
        self.fields[name], self.slots[name] = field, slot
        self.initial[name] = "" if value is None else value

    def key(self, name: str) -> Key | None:
        slot = self.slots.get(name)
        return Key(self.then.part(slot), (slot.column,)) if slot else None

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        controls: dict[UUID | None, Control] = {each.pk: each for each in self.controls}
        for name in self.typed():
            slot, value = self.slots[name], self.cleaned_data.get(name)
            if slot.what == What.CONTROL and value:
                control = controls[slot.about]
                check_setting(self, name, control, unread=control in self.unread)
            if slot.what == What.CUE and slot.column != "value" and value not in ("", None):
                words = f"q-{slot.cue}"
                if not self.cleaned_data.get(words) and words not in self.errors:
                    self.add_error(words, WORDLESS)
        self._refuse_what_is_gone()
        return self.cleaned_data

    def _refuse_what_is_gone(self) -> None:
        """Report what was typed about a part that is retired by now, instead of dropping it."""
        for name, typed in self.data.items():
            letter, _, about = name.partition("-")
            # Unchanged values of a retired part are no loss, so that only what was typed is
            # reported.
            gone = letter in SPOKEN_OF and name not in self.fields
            if gone and typed and typed != self.then.about(about):
                self.add_error(None, GONE.format(name_of(self.rig, letter, about)))

    def edits(self) -> list[Edit]:
        """The edits against the state that the form was opened on; the gateway merges them."""
        typed = self.typed()
        plain = [
            self.then.edit(self.slots[name], self.cleaned_data[name])
            for name in typed
            if self.slots[name].what != What.CUE
        ]
        cues = dict.fromkeys(s.cue for s in self.slots.values() if s.what == What.CUE)
        typed_cues = [(cue, self._typed_of(cue, set(typed))) for cue in cues]
        return [*(edit for edit in plain if edit is not None), *self.then.cue_edits(typed_cues)]

    def _typed_of(self, cue: str, typed: set[str]) -> dict[str, Any]:
        """The columns of a cue that somebody changed."""
        names = {column: f"q-{cue}{ending}" for ending, column in CUE_COLUMNS.items()}
        values = {c: self.cleaned_data[name] for c, name in names.items() if name in typed}
        # The empty choice arrives as an empty text, but the field points at a section or at
        # nothing.
        if "section" in values:
            values["section"] = values["section"] or None
        return values

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, self.song)
        at_stake = [n for clash in conflict.clashes for n in self.fields_of(clash)]
        for name in at_stake:
            if name not in form.fields:  # a cue that somebody took out meanwhile
                form.fields[name], form.slots[name] = self.fields[name], self.slots[name]
                form.initial[name] = ""
        form.conflicted = True
        form.asked = dict.fromkeys(at_stake, self.base)
        form.now_texts = {name: form.now_text(name) for name in at_stake}
        form.retain_typed(self, self.typed())
        return form

    def now_text(self, name: str) -> str:
        usual = "" if self.slots[name].what == What.CUE else "as usual"
        return super().now_text(name) or usual

    def panel_label(self, name: str) -> str:
        about = self.slots[name].about
        control = next((each for each in self.controls if each.pk == about), None)
        if control is not None:
            return f"{control.unit}, {control}"
        unit = next((each for each in self.units if each.pk == about), None)
        return f"Tuning of {unit}" if unit else super().panel_label(name)

    # What the page shows.

    @property
    def unit_rows(self) -> list[tuple[Unit, list[forms.BoundField]]]:
        """Each unit that has a field of its own, with its fields, in the order of the rig."""
        shown = {field.name: field for field in self.open_fields}
        rows = []
        for unit in self.units:
            own = [f"t-{unit.pk}", *(f"c-{c.pk}" for c in self.controls if c.unit_id == unit.pk)]
            bound = [shown[name] for name in own if name in shown]
            if bound:
                rows.append((unit, bound))
        return rows

    @property
    def input_fields(self) -> list[forms.BoundField]:
        return [field for field in self.open_fields if field.name.startswith("i-")]

    @property
    def instrument_field(self) -> forms.BoundField | None:
        return next((field for field in self.open_fields if field.name == "instrument"), None)

    @property
    def cue_rows(self) -> list[list[forms.BoundField]]:
        rows: dict[str, list[forms.BoundField]] = {}
        for field in self.open_fields:
            slot = self.slots.get(field.name)
            if slot and slot.what == What.CUE:
                rows.setdefault(slot.cue, []).append(field)
        return list(rows.values())
