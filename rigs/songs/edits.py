"""The state of one song on one rig when a form was opened, and the edits made from there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from uuid import uuid4

from core.models import Song
from rigs.changes.edits import Add, Edit, Retire, Set, Value
from rigs.models import Rig, SongSetting
from rigs.models.songs import own_id
from rigs.revisions.read import as_of
from rigs.revisions.songs import identity_of
from rigs.songs.fields import Slot, What

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
        if slot.what == What.CUE:
            return slot.cue
        part = self._by_key.get(identity_of(self._identity(slot)) or ())
        return part or str(own_id(self.rig.pk, self.song.pk, slot.what, slot.about))

    def cues(self) -> list[str]:
        """The ids of the parts that are cues, in the order in which they come in the song."""
        cues = [(part, f) for part, f in self.stated.items() if f.get("what") == What.CUE]
        return [part for part, f in sorted(cues, key=lambda item: (_position(item[1]), item[0]))]

    def about(self, part: str) -> Value:
        """What was said of a control, a unit or an input, given by its id; empty if nothing."""
        return next((f for f in self.stated.values() if part in f.values()), {}).get("value", "")

    def edit(self, slot: Slot, value: Any) -> Edit | None:
        """The edit that sets a slot to `value`; None if it was empty and stays so."""
        part = self.part(slot)
        if part in self.stated:
            return Set(part, KIND, {slot.column: value}) if value else Retire(part, KIND)
        return Add(part, KIND, {**self._identity(slot), slot.column: value}) if value else None

    def cue_edits(self, typed: Iterable[tuple[str, Mapping[str, Any]]]) -> Iterator[Edit]:
        """The edits of cues; `typed` has for each cue or new line the columns that were changed."""
        last = max((_position(self.stated[cue]) for cue in self.cues()), default=0)
        for cue, values in typed:
            if cue in self.stated and values:
                gone = "value" in values and not values["value"]
                yield Retire(cue, KIND) if gone else Set(cue, KIND, values)
            elif values.get("value"):
                last += 1
                identity = self._identity(Slot(What.CUE, "value")) | {"position": last}
                # Cues have no identity to derive an id from: two people who add one each mean two
                # cues.
                yield Add(str(uuid4()), KIND, {**identity, **values})

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
