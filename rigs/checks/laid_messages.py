"""MIDI messages of songs as the rules see them, from a snapshot of a rig. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _

from rigs.changes.edits import Snapshot
from rigs.checks.bench import BenchMessage
from rigs.midi import message_text


def messages_of(state: Snapshot, titles: Mapping[str, str]) -> Iterator[BenchMessage]:
    """The messages to units that are there; `titles` are those of songs, by id."""
    for part, fields in sorted(state.items()):
        unit = str(fields.get("unit"))
        if fields.get("kind") != "song_setting" or fields.get("what") != "midi":
            continue
        if unit not in state:
            continue
        channel, controller = fields.get("channel"), fields.get("controller")
        own = state[unit].get("midi_channel")
        yield BenchMessage(
            part,
            unit,
            titles.get(str(fields.get("song")), _("a song")),
            message_text(fields, state[unit]),
            controller if isinstance(controller, int) else None,
            bool(channel or own),
        )
