"""How the API took settings that can be read in two ways: 10 of 10, or 10 o'clock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import Any, NamedTuple

from rest_framework import serializers

from rigs.changes.edits import Add, Edit, Set
from rigs.dial_scales import DIALS, Scale, in_full, possible
from rigs.models import Control, Rig, SongSetting


class SettingReading(NamedTuple):
    """`written` as it was sent, `text` as it was read: “10 of 10”, “10 o’clock”, “2:30”."""

    part: str
    written: str
    style: str
    text: str


class SettingReadingSerializer(serializers.Serializer[Any]):
    """A setting that could be a number or a time, and which of the two it was taken for."""

    part = serializers.UUIDField()
    written = serializers.CharField()
    style = serializers.CharField(  # type: ignore[assignment]
        help_text="`clock` or `dial`: how the control is read."
    )
    text = serializers.CharField(help_text="With what it is counted in: 10 of 10, 10 o’clock.")


def readings_of(rig: Rig, edits: Iterable[Edit]) -> list[SettingReading]:
    """The doubtful settings among `edits`, which were written. Two queries at most."""
    written = dict(_doubtful(edits))
    if not written:
        return []
    said = SongSetting.objects.filter(rig=rig, pk__in=list(written)).values_list("pk", "control")
    turned = {str(part): str(control) for part, control in said}
    wanted = [turned.get(part, part) for part in written]
    controls = {str(c.pk): c for c in Control.objects.filter(rig=rig, pk__in=wanted)}
    found = []
    for part, text in written.items():
        control = controls.get(turned.get(part, part))
        if control is not None and control.style in DIALS:
            scale = Scale(control.style, control.low, control.high)
            with suppress(ValueError):  # somebody else turned it since it was written
                found.append(SettingReading(part, text, control.style, in_full(text, scale)))
    return found


def _doubtful(edits: Iterable[Edit]) -> Iterator[tuple[str, str]]:
    fields = {Control.KIND: "setting", SongSetting.KIND: "value"}
    for edit in edits:
        if isinstance(edit, Add | Set) and edit.kind in fields:
            text = str(edit.fields.get(fields[edit.kind]) or "")
            if len(possible(text)) > 1:
                yield edit.part, text
