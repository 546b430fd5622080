"""The fields for MIDI messages of songs to a unit, on the forms of what is other at a show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from django import forms
from django.utils.translation import gettext as _

from core.models import Song
from rigs.changes.edits import Snapshot
from rigs.midi import message_text
from rigs.models import Unit
from rigs.models.tonight import wrong_message
from rigs.tonight.layers import NUMBERS, messages_to, numbers_of
from rigs.units.midi_fields import MIDI, message_fields

NOT_SENT = "no"


class MessageRow(NamedTuple):
    """The fields of one message: its song, what is documented, short labels with their fields."""

    song: str
    documented: str
    fields: list[tuple[str, forms.BoundField]]

    @property
    def is_wrong(self) -> bool:
        return any(field.errors for _, field in self.fields)


class Messages:
    """The messages to a unit, as the layers below have them, and as tonight is shown with."""

    def __init__(self, unit: Unit, below: Snapshot, state: Snapshot) -> None:
        self.unit, self.state = unit, state
        self.there = messages_to(below, str(unit.pk))
        self.now = messages_to(state, str(unit.pk))
        ids = {str(known.get("song")) for known in self.there.values()}
        songs = Song.objects.filter(pk__in=ids).order_by("position") if ids else []
        self.titles = {str(song.pk): song.title for song in songs}
        self.order = {song: at for at, song in enumerate(self.titles)}

    def made(self) -> Iterable[tuple[str, forms.Field, Any]]:
        """Each field by its name, with what it begins with. One query where there are any."""
        for part in self._in_order():
            title = self._title(part)
            sent = forms.ChoiceField(
                label=_("“{song}”, tonight").format(song=title),
                required=False,
                choices=[("", _("sent")), (NOT_SENT, _("not sent"))],
            )
            yield _name(part), sent, "" if part in self.now else NOT_SENT
            numbers = numbers_of(self.now.get(part, self.there[part]))
            for column, made in message_fields(self.unit).items():
                made.label = f"“{title}”, {made.label}"
                yield _name(part, column), made, numbers.get(column)

    def rows(self, form: forms.Form) -> list[MessageRow]:
        unit = self.state[str(self.unit.pk)]
        return [
            MessageRow(
                self._title(part),
                message_text(self.there[part], unit),
                [(_short(form[name]), form[name]) for name in self._names(part)],
            )
            for part in self._in_order()
        ]

    def read(self, form: forms.Form) -> dict[str, Mapping[str, int] | None]:
        """The numbers of each message by its id, None for what is not sent. What the page did not
        have is left out; what cannot be sent is told at its field."""
        said: dict[str, Mapping[str, int] | None] = {}
        for part in self.there:
            names = self._names(part)
            if any(name not in form.data or name in form.errors for name in names):
                continue
            if form.cleaned_data[_name(part)] == NOT_SENT:
                said[part] = None
                continue
            typed = {column: form.cleaned_data[_name(part, column)] for column in NUMBERS}
            numbers = {column: value for column, value in typed.items() if value is not None}
            if wrong := wrong_message(numbers):
                form.add_error(_name(part, wrong[0]), wrong[1])
            else:
                said[part] = numbers
        return said

    def _in_order(self) -> list[str]:
        def key(part: str) -> tuple[int, int, str]:
            known = self.there[part]
            at = self.order.get(str(known.get("song")), len(self.order))
            return at, int(str(known.get("position") or 0)), part

        return sorted(self.there, key=key)

    def _title(self, part: str) -> str:
        return self.titles.get(str(self.there[part].get("song")), _("a song"))

    def _names(self, part: str) -> list[str]:
        return [_name(part), *(_name(part, column) for column in NUMBERS)]


def _name(part: str, column: str = "sent") -> str:
    return f"{MIDI}-{part}-{column}"


def _short(field: forms.BoundField) -> str:
    return str(field.label).rpartition("”, ")[2].capitalize()
