"""The state of one song on one rig when a form was opened, and the edits made from there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from uuid import UUID, uuid4

from core.models import Song
from rigs.changes.edits import Add, Edit, Retire, Set, Value
from rigs.models import Rig, SongSetting
from rigs.models.songs import MESSAGE, own_id
from rigs.revisions.read import as_of
from rigs.revisions.songs import identity_of
from rigs.songs.fields import Moment, Slot, What

KIND = SongSetting.KIND


class SongThen:
    """What `song` changed on `rig` after change `base`.

    `stated` has each part that was about the song, by its id, with its fields.
    """

    def __init__(self, rig: Rig, song: Song, base: int) -> None:
        self.rig, self.song = rig, song
        self.stated = _by_identity(rig, song, base)
        self._by_key = {key: part for part, f in self.stated.items() if (key := identity_of(f))}

    def value(self, slot: Slot) -> Value:
        return self.stated.get(self.part(slot), {}).get(slot.column)

    def part(self, slot: Slot) -> str:
        """The part that holds a slot's value; the id that it would get, where there is none."""
        if slot.line:
            return slot.line
        part = self._by_key.get(identity_of(self._identity(slot)) or ())
        return part or str(own_id(self.rig.pk, self.song.pk, slot.what, slot.about))

    def lines(self, what: str) -> list[str]:
        """The ids of what of that kind happens within the song, in the order of the form."""
        lines = [(part, f) for part, f in self.stated.items() if f.get("what") == what]
        return [part for part, f in sorted(lines, key=lambda item: (_position(item[1]), item[0]))]

    def about(self, part: str) -> Value:
        """What was said of a control, a unit or an input, given by its id; empty if nothing."""
        said = next((f for f in self.stated.values() if part in f.values()), {})
        return said.get("value") or said.get("scene") or ""

    def edit(self, slot: Slot, value: Any) -> Edit | None:
        """The edit that sets a slot to `value`; None if it was empty and stays so."""
        part = self.part(slot)
        if part in self.stated:
            return Set(part, KIND, {slot.column: value}) if value else Retire(part, KIND)
        return Add(part, KIND, {**self._identity(slot), slot.column: value}) if value else None

    def line_edits(
        self,
        moment: Moment,
        typed: Iterable[tuple[str, Mapping[str, Any]]],
        unit_of: Mapping[str, str],
    ) -> Iterator[Edit]:
        """The edits of what happens within the song.

        `typed` has for each part or new line the columns that were changed; `unit_of` the unit that
        recalls each scene.
        """
        last = max((_position(self.stated[line]) for line in self.lines(moment.what)), default=0)
        for line, values in typed:
            said = values.get(moment.column)
            if line in self.stated and values:
                gone = moment.column in values and not said
                moved = bool(said) and unit_of.get(str(said)) != self.stated[line].get("unit")
                if not gone and not (moment.what == What.SCENE_CHANGE and moved):
                    yield Set(line, KIND, values)
                    continue
                yield Retire(line, KIND)
                if gone:
                    continue
                values = {**self._said_of(line), **values}
            elif not said:
                continue
            else:
                last += 1
                values = {"position": last, **values}
            about = {"unit": unit_of[str(said)]} if moment.what == What.SCENE_CHANGE else {}
            # Nothing to derive an id from: two people who add a cue each mean two cues.
            identity = self._identity(Slot(moment.what, moment.column))
            yield Add(str(uuid4()), KIND, {**identity, **about, **values})

    def message_edits(
        self, unit: UUID, typed: Iterable[tuple[str, Mapping[str, Any]]]
    ) -> Iterator[Edit]:
        """The edits of the MIDI messages to `unit`, of each part or new line the columns that were
        changed. A line without program and control is taken out."""
        last = max((_position(self.stated[line]) for line in self.lines(What.MIDI)), default=0)
        for line, values in typed:
            after = {**self.stated.get(line, {}), **values}
            says = any(after.get(name) is not None for name in MESSAGE)
            if line in self.stated and values:
                yield Set(line, KIND, values) if says else Retire(line, KIND)
            elif line not in self.stated and says:
                last += 1
                identity = self._identity(Slot(What.MIDI, "program", unit))
                yield Add(str(uuid4()), KIND, {"position": last, **identity, **values})

    def _said_of(self, line: str) -> dict[str, Value]:
        kept = ("position", "section", "at_s")
        return {name: value for name, value in self.stated[line].items() if name in kept}

    def _identity(self, slot: Slot) -> dict[str, Value]:
        fields: dict[str, Value] = {"song": str(self.song.pk), "what": str(slot.what)}
        about = SongSetting.ABOUT.get(slot.what)
        if about and slot.about is not None:
            fields[about] = str(slot.about)
        return fields


def _by_identity(rig: Rig, song: Song, base: int) -> dict[str, Mapping[str, Value]]:
    # Nearly every form is opened on the newest state, which needs no history to be read.
    if base == rig.head_number:
        rows = SongSetting.objects.live().filter(rig=rig, song=song)
        return {str(row.pk): row.fields() for row in rows}
    return {
        part: fields
        for part, fields in as_of(rig, base).items()
        if fields["kind"] == KIND and fields.get("song") == str(song.pk)
    }


def _position(fields: Mapping[str, Value]) -> int:
    return int(fields.get("position") or 0)
