"""What one song changes on one rig: every control, tuning and input, and the cues, in one form.

A field left empty is as usual; only what is filled becomes a difference. One save is one change.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Self
from uuid import UUID, uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from core.models import Section, Song
from rigs.facts import STRINGED
from rigs.forms.guarded import GuardedForm, Key
from rigs.forms.settings import check_setting
from rigs.forms.song_slots import (
    CUE_COLUMNS,
    Slot,
    What,
    control_field,
    cue_fields,
    input_field,
    instrument_field,
    tuning_field,
)
from rigs.models import Control, Input, Rig, SongSetting, Unit
from rigs.models.songs import own_id
from rigs.revisions.edits import Add, Edit, Retire, Set, Value
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict
from rigs.revisions.songs import said_of
from rigs.services.ordering import in_order

NEW_CUES = 2
GONE = "“{}” is no longer in the rig: someone else retired it. Look at this page again, then save."
WORDLESS = "Say what is to happen there."


class SongSettingsForm(GuardedForm):
    """`song` on `rig`; `then` is what the song said on the state that the form was opened on."""

    kind = SongSetting.KIND

    def __init__(self, rig: Rig, song: Song, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.song = song
        self.slots: dict[str, Slot] = {}
        self.then = self._rows()
        self._by_key = {key: part for part, f in self.then.items() if (key := said_of(f))}
        self.units: list[Unit] = in_order(Unit.objects.live().filter(rig=rig))
        self.controls: list[Control] = in_order(
            Control.objects.live().filter(rig=rig).select_related("unit")
        )
        self.inputs: list[Input] = in_order(Input.objects.live().filter(rig=rig))
        self._add_parts()
        self._add_cues()
        self.add_reason_fields()
        self.read_choices()

    def _rows(self) -> dict[str, Mapping[str, Value]]:
        if self.base == self.rig.head_number:
            rows = SongSetting.objects.live().filter(rig=self.rig, song=self.song)
            return {str(row.pk): row.fields() for row in rows}
        song = str(self.song.pk)
        return {
            part: fields
            for part, fields in as_of(self.rig, self.base).items()
            if fields["kind"] == SongSetting.KIND and fields.get("song") == song
        }

    def _add_parts(self) -> None:
        played = Slot(What.INSTRUMENT, "unit")
        instrument = instrument_field(self.units, self.then.get(self._part(played), {}).get("unit"))
        if instrument is not None:
            self._add("instrument", instrument, played)
        for unit in self.units:
            if unit.tuning or unit.gear in STRINGED:
                slot = Slot(What.TUNING, "value", unit.pk)
                self._add(f"t-{unit.pk}", tuning_field(unit), slot)
        for control in self.controls:
            slot = Slot(What.CONTROL, "value", control.pk)
            self._add(f"c-{control.pk}", control_field(control), slot)
        for entry in self.inputs:
            self._add(f"i-{entry.pk}", input_field(entry), Slot(What.INPUT, "value", entry.pk))

    def _add_cues(self) -> None:
        sections = list(Section.objects.filter(song=self.song))
        names = [part for part, _ in self._cues()]
        names += [f"new{number}" for number in range(1, NEW_CUES + 1)]
        # Asked about and gone meanwhile: who wants it back sends it once more.
        sent = [name.removeprefix("asked-q-") for name in self.data if name.startswith("asked-q-")]
        names += [
            name for name in sent if name not in names and not name.endswith(("-at", "-section"))
        ]
        for cue in names:
            held = self.then.get(cue, {}).get("section")
            for ending, field in cue_fields(sections, held).items():
                self._add(f"q-{cue}{ending}", field, Slot(What.CUE, CUE_COLUMNS[ending], cue=cue))

    def _cues(self) -> list[tuple[str, Mapping[str, Value]]]:
        found = [(part, f) for part, f in self.then.items() if f.get("what") == What.CUE]
        return sorted(found, key=lambda item: (int(item[1].get("position") or 0), item[0]))

    def _add(self, name: str, field: forms.Field, slot: Slot) -> None:
        if self.is_bound and self.add_prefix(name) not in self.data:
            return  # it came after this form was opened; nobody emptied it
        value = self.then.get(self._part(slot), {}).get(slot.column)
        self.fields[name], self.slots[name] = field, slot
        self.initial[name] = "" if value is None else value

    def _part(self, slot: Slot) -> str:
        """The part that holds a slot's value; the id that it would get, where there is none."""
        if slot.what == What.CUE:
            return slot.cue
        found = self._by_key.get(said_of(self._identity(slot)) or ())
        return found or str(own_id(self.rig.pk, self.song.pk, slot.what, slot.about))

    def _identity(self, slot: Slot) -> dict[str, Value]:
        fields: dict[str, Value] = {"song": str(self.song.pk), "what": str(slot.what)}
        about = SongSetting.ABOUT.get(slot.what)
        if about and slot.about is not None:
            fields[about] = str(slot.about)
        return fields

    def key(self, name: str) -> Key | None:
        slot = self.slots.get(name)
        return Key(self._part(slot), (slot.column,)) if slot else None

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        controls: dict[UUID | None, Control] = {each.pk: each for each in self.controls}
        for name in self.typed():
            slot, value = self.slots[name], self.cleaned_data.get(name)
            if slot.what == What.CONTROL and value:
                check_setting(self, name, controls[slot.about])
            if slot.what == What.CUE and slot.column != "value" and value not in ("", None):
                words = f"q-{slot.cue}"
                if not self.cleaned_data.get(words) and words not in self.errors:
                    self.add_error(words, WORDLESS)
        self._refuse_what_is_gone()
        return self.cleaned_data

    def _refuse_what_is_gone(self) -> None:
        """Nothing that was typed is dropped because somebody retired what it was about."""
        for name, typed in self.data.items():
            letter, _, about = name.partition("-")
            if letter in ("t", "c", "i") and name not in self.fields and typed:
                said = next((f for f in self.then.values() if about in f.values()), {})
                if typed != said.get("value", ""):
                    self.add_error(None, GONE.format(_name_of(self.rig, letter, about)))

    # Edits against the state that the form was opened on: the gateway merges from there.

    def edits(self) -> list[Edit]:
        typed = [name for name in self.typed() if self.slots[name].what != What.CUE]
        plain = [edit for name in typed if (edit := self._edit(name)) is not None]
        return [*plain, *self._cue_edits()]

    def _edit(self, name: str) -> Edit | None:
        slot, value = self.slots[name], self.cleaned_data[name]
        part = self._part(slot)
        if part in self.then:
            return Set(part, self.kind, {slot.column: value}) if value else Retire(part, self.kind)
        if not value:
            return None
        return Add(part, self.kind, {**self._identity(slot), slot.column: value})

    def _cue_edits(self) -> Iterator[Edit]:
        typed = set(self.typed())
        last = max((int(f.get("position") or 0) for _, f in self._cues()), default=0)
        for cue in dict.fromkeys(s.cue for s in self.slots.values() if s.what == What.CUE):
            name = f"q-{cue}"
            values = {
                column: self.cleaned_data[name + ending]
                for ending, column in CUE_COLUMNS.items()
                if name + ending in typed
            }
            if "section" in values:
                values["section"] = values["section"] or None
            if cue in self.then and values:
                gone = "value" in values and not values["value"]
                yield Retire(cue, self.kind) if gone else Set(cue, self.kind, values)
            elif values.get("value"):
                last += 1
                identity = self._identity(Slot(What.CUE, "value")) | {"position": last}
                yield Add(str(uuid4()), self.kind, {**identity, **values})

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
        form.keep_typed(self, self.typed())
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


def _name_of(rig: Rig, letter: str, about: str) -> str:
    """What a field was about, by the name it has in a form."""
    model = {"t": Unit, "c": Control, "i": Input}[letter]
    try:
        return str(model.objects.filter(pk=UUID(about), rig=rig).first() or "that")
    except (ValueError, ValidationError):
        return "that"
