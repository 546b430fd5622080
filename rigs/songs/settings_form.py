"""What one song changes on one rig: every control, tuning and input, and the cues, in one form.

A field left empty is as usual; only what is filled becomes a difference. One save is one change.
"""

from __future__ import annotations

from typing import Any, Self
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import Section, Song
from rigs.changes.edits import Edit
from rigs.editing.dials import unread_of_units
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.ordering import in_order
from rigs.models import Control, Input, Rig, Scene, SongSetting, Unit
from rigs.models.songs import message_problem
from rigs.revisions.record import Conflict
from rigs.songs.edits import SongThen
from rigs.songs.fields import (
    MOMENT_COLUMNS,
    MOMENTS,
    SPOKEN_OF,
    MessageRow,
    Slot,
    What,
    control_field,
    cue_field,
    input_field,
    instrument_field,
    moment_fields,
    name_of,
    scene_change_field,
    scene_field,
    tuning_field,
)
from rigs.units.midi_fields import MIDI, NUMBERS, message_fields
from rigs.units.settings_form import check_setting

NEW_LINES = 2
GONE = gettext_lazy(
    "“{}” is no longer in the rig: someone else retired it. Look at this page again, then save."
)
WHEN = gettext_lazy("Say when: a section, a time, or both.")


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
        self.unread = unread_of_units(self.controls)
        self.inputs: list[Input] = in_order(Input.objects.live().filter(rig=rig))
        scenes = Scene.objects.live().filter(rig=rig).select_related("unit")
        self.scenes: list[Scene] = in_order(scenes)
        self._add_parts()
        sections = list(Section.objects.filter(song=song))
        self.taken_out = self._messages_taken_out()
        for unit in self.units:
            self._add_messages(unit, sections)
        for letter in MOMENTS if self.scenes else "q":
            self._add_moments(letter, sections)
        self.add_reason_fields()
        self.read_choices()

    def _add_parts(self) -> None:
        played = Slot(What.INSTRUMENT, "unit")
        instrument = instrument_field(self.units, self.then.value(played))
        if instrument is not None:
            self._add("instrument", instrument, played)
        for unit in self.units:
            if unit.tuning or unit.traits.strung:
                slot = Slot(What.TUNING, "value", unit.pk)
                self._add(f"t-{unit.pk}", tuning_field(unit), slot)
        for unit in self.units:
            on_it = [scene for scene in self.scenes if scene.unit_id == unit.pk]
            if on_it:
                named = Slot(What.SCENE, "scene", unit.pk)
                self._add(f"s-{unit.pk}", scene_field(unit, on_it), named)
        for control in self.controls:
            slot = Slot(What.CONTROL, "value", control.pk)
            self._add(f"c-{control.pk}", control_field(control), slot)
        for entry in self.inputs:
            self._add(f"i-{entry.pk}", input_field(entry), Slot(What.INPUT, "value", entry.pk))

    def _add_moments(self, letter: str, sections: list[Section]) -> None:
        moment, asked = MOMENTS[letter], f"asked-{letter}-"
        lines = self.then.lines(moment.what)
        lines += [f"new{number}" for number in range(1, NEW_LINES + 1)]
        # Asked about and gone meanwhile: who wants it back sends it once more.
        sent = [name.removeprefix(asked) for name in self.data if name.startswith(asked)]
        lines += [
            line for line in sent if line not in lines and not line.endswith(("-at", "-section"))
        ]
        for line in lines:
            held = self.then.value(Slot(moment.what, "section", line=line))
            what = cue_field() if letter == "q" else scene_change_field(self.scenes)
            fields = {"": what, **moment_fields(sections, held)}
            for ending, column in moment.columns().items():
                slot = Slot(moment.what, column, line=line, letter=letter)
                self._add(f"{letter}-{line}{ending}", fields[ending], slot)

    def _messages_taken_out(self) -> dict[str, UUID | None]:
        """Messages that others took out while this form was open, and was asked about: the unit of
        each. One query, none where nothing was asked."""
        asked = f"asked-{MIDI}-"
        sent = {name.removeprefix(asked)[:36] for name in self.data if name.startswith(asked)}
        lines = [line for line in sent - self.then.stated.keys() if not line.startswith("new")]
        rows = SongSetting.objects.filter(rig=self.rig, song=self.song) if lines else ()
        return {str(row.pk): row.unit_id for row in rows if str(row.pk) in lines}

    def _add_messages(self, unit: Unit, sections: list[Section]) -> None:
        """The MIDI messages to a unit that takes some, and a line for a new one."""
        stated = [
            line
            for line in self.then.lines(What.MIDI)
            if self.then.value(Slot(What.MIDI, "unit", line=line)) == str(unit.pk)
        ]
        new = [f"new{unit.pk.hex}"] if unit.traits.takes_midi or unit.midi_channel else []
        # Asked about and gone meanwhile: who wants it back sends it once more.
        back = [line for line, to in self.taken_out.items() if to == unit.pk]
        for line in (*stated, *back, *new):
            held = self.then.value(Slot(What.MIDI, "section", line=line))
            moment = moment_fields(sections, held)
            fields = {
                **{NUMBERS[column]: field for column, field in message_fields(unit).items()},
                **moment,
            }
            columns = {**{end: c for c, end in NUMBERS.items()}, **MOMENT_COLUMNS}
            for ending, field in fields.items():
                slot = Slot(What.MIDI, columns[ending], unit.pk, line, MIDI)
                self._add(f"{MIDI}-{line}{ending}", field, slot)

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
            if slot.letter in MOMENTS:
                self._check_moment(slot, value)
        for line in self._lines(MIDI):
            self._check_message(line)
        self._refuse_what_is_gone()
        return self.cleaned_data

    def _check_moment(self, slot: Slot, value: Any) -> None:
        """Refuse a moment at which nothing happens, and a scene that has no moment."""
        moment, first = MOMENTS[slot.letter], f"{slot.letter}-{slot.line}"
        said = self.cleaned_data.get(first)
        if slot.column != moment.column:
            if value not in ("", None) and not said and first not in self.errors:
                self.add_error(first, moment.missing)
        elif said and moment.what == What.SCENE_CHANGE:
            placed = [self.cleaned_data.get(f"{first}{end}") for end in ("-section", "-at")]
            if all(each in ("", None) for each in placed):
                self.add_error(f"{first}-section", WHEN)

    def _lines(self, letter: str) -> list[str]:
        return list(dict.fromkeys(s.line for s in self.slots.values() if s.letter == letter))

    def _check_message(self, line: str) -> None:
        """Refuse half a message where it was typed, and a moment without one."""
        given = {
            column
            for column, ending in NUMBERS.items()
            if self.cleaned_data.get(f"{MIDI}-{line}{ending}") is not None
        }
        names = [f"{MIDI}-{line}{ending}" for ending in (*NUMBERS.values(), *MOMENT_COLUMNS)]
        placed = any(
            self.cleaned_data.get(f"{MIDI}-{line}{e}") not in (None, "") for e in MOMENT_COLUMNS
        )
        if any(name in self.errors for name in names) or not (given or placed):
            return
        if problem := message_problem(given):
            self.add_error(f"{MIDI}-{line}{NUMBERS[problem[0]]}", problem[1])

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
            if not self.slots[name].letter
        ]
        edits: list[Edit] = [edit for edit in plain if edit is not None]
        unit_of = {str(scene.pk): str(scene.unit_id) for scene in self.scenes}
        for letter, moment in MOMENTS.items():
            values = [(line, self._typed_of(letter, line, typed)) for line in self._lines(letter)]
            edits += self.then.line_edits(moment, values, unit_of)
        for unit in self.units:
            own = {s.line for s in self.slots.values() if (s.letter, s.about) == (MIDI, unit.pk)}
            lines = [line for line in self._lines(MIDI) if line in own]
            edits += self.then.message_edits(
                unit.pk, [(line, self._typed_of(MIDI, line, typed)) for line in lines]
            )
        return edits

    def _typed_of(self, letter: str, line: str, typed: list[str]) -> dict[str, Any]:
        """The columns of something within the song that somebody changed."""
        values = {
            self.slots[name].column: self.cleaned_data[name]
            for name in typed
            if (self.slots[name].letter, self.slots[name].line) == (letter, line)
        }
        # The empty choice arrives as an empty text, but the field points at a section or at
        # nothing.
        if "section" in values:
            values["section"] = values["section"] or None
        return values

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, self.song)
        at_stake = [n for clash in conflict.clashes for n in self.fields_of(clash)]
        for name in at_stake:
            if name not in form.fields:  # a cue or scene that somebody took out meanwhile
                form.fields[name], form.slots[name] = self.fields[name], self.slots[name]
                form.initial[name] = ""
        form.conflicted = True
        form.asked = dict.fromkeys(at_stake, self.base)
        form.now_texts = {name: form.now_text(name) for name in at_stake}
        form.retain_typed(self, self.typed())
        return form

    def now_text(self, name: str) -> str:
        usual = "" if self.slots[name].letter else _("as usual")
        return super().now_text(name) or usual

    def panel_label(self, name: str) -> str:
        about = self.slots[name].about
        control = next((each for each in self.controls if each.pk == about), None)
        if control is not None:
            return f"{control.unit}, {control}"
        unit = next((each for each in self.units if each.pk == about), None)
        return (
            _("{field} of {unit}").format(field=self[name].label, unit=unit)
            if unit
            else super().panel_label(name)
        )

    # What the page shows.

    @property
    def unit_rows(self) -> list[tuple[Unit, list[forms.BoundField], list[MessageRow]]]:
        """Each unit that has a field of its own, with its fields and the messages to it, in the
        order of the rig."""
        shown = {field.name: field for field in self.open_fields}
        rows = []
        for unit in self.units:
            own = [
                f"s-{unit.pk}",
                f"t-{unit.pk}",
                *(f"c-{c.pk}" for c in self.controls if c.unit_id == unit.pk),
            ]
            bound = [shown[name] for name in own if name in shown]
            messages = self._messages(unit)
            if bound or messages:
                rows.append((unit, bound, messages))
        return rows

    def _messages(self, unit: Unit) -> list[MessageRow]:
        rows: dict[str, list[forms.BoundField]] = {}
        for field in self.open_fields:
            slot = self.slots.get(field.name)
            if slot and (slot.letter, slot.about) == (MIDI, unit.pk):
                rows.setdefault(slot.line, []).append(field)
        return [MessageRow(line in self.then.stated, fields) for line, fields in rows.items()]

    @property
    def input_fields(self) -> list[forms.BoundField]:
        return [field for field in self.open_fields if field.name.startswith("i-")]

    @property
    def instrument_field(self) -> forms.BoundField | None:
        return next((field for field in self.open_fields if field.name == "instrument"), None)

    @property
    def cue_rows(self) -> list[list[forms.BoundField]]:
        return self._rows_of("q")

    @property
    def scene_rows(self) -> list[list[forms.BoundField]]:
        return self._rows_of("x")

    def _rows_of(self, letter: str) -> list[list[forms.BoundField]]:
        rows: dict[str, list[forms.BoundField]] = {}
        for field in self.open_fields:
            slot = self.slots.get(field.name)
            if slot and slot.letter == letter:
                rows.setdefault(slot.line, []).append(field)
        return list(rows.values())
