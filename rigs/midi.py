"""MIDI messages as crews say them: ranges, and how a program reads counted from 0 and from 1. Pure.

Ranges and the channel mode messages: MIDI 1.0 Detailed Specification (MIDI Association, document
version 4.2.1), channel voice messages and table III. Channels are counted from 1 there, too, though
they go over the line from 0; numbers of programs are counted either way by what shows them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from core.languages.marked import gettext_noop
from core.languages.words import each_of

CHANNELS = (1, 16)
DATA = (0, 127)  # of a data byte: program, bank, control number, value
FROM_0, FROM_1 = "0", "1"
# What control numbers 120 to 127 are: they act on the whole channel.
CHANNEL_MODES: Mapping[int, str] = {
    120: gettext_noop("all sound off"),
    121: gettext_noop("reset all controllers"),
    122: gettext_noop("local control"),
    123: gettext_noop("all notes off"),
    124: gettext_noop("omni mode off"),
    125: gettext_noop("omni mode on"),
    126: gettext_noop("mono mode on"),
    127: gettext_noop("poly mode on"),
}


def first_program(counted_from: str) -> int:
    """What a unit calls its first program. Where nobody has said it, as it is sent: 0."""
    return int(counted_from) if counted_from in (FROM_0, FROM_1) else 0


def program_text(program: int, counted_from: str) -> str:
    """“program 12 (11 from 0)”: as the unit counts, and as it does not."""
    if counted_from == FROM_1:
        words = _("program {number} ({other} from 0)")
        return words.format(number=program + 1, other=program)
    return _("program {number} ({other} from 1)").format(number=program, other=program + 1)


def control_text(controller: int, amount: Any) -> str:
    """“control 7 to 100”; with what it is where it acts on the whole channel."""
    mode = CHANNEL_MODES.get(controller)
    if mode:
        words = _("control {number} (channel mode: {mode}) to {value}")
        return words.format(number=controller, mode=_(mode), value=amount)
    return _("control {number} to {value}").format(number=controller, value=amount)


def message_text(fields: Mapping[str, Any], unit: Mapping[str, Any]) -> str:
    """A message in words: “channel 3, bank MSB 0 LSB 2, program 12 (11 from 0)”.

    `fields` are those of a difference of a song, `unit` those of the unit that receives it: its
    channel counts where the message names none.
    """
    channel = fields.get("channel") or unit.get("midi_channel")
    said = [_("channel {number}").format(number=channel) if channel else _("no channel")]
    named = (("MSB", fields.get("bank_msb")), ("LSB", fields.get("bank_lsb")))
    bank = " ".join(f"{name} {value}" for name, value in named if value is not None)
    if bank:
        said.append(_("bank {number}").format(number=bank))
    if (program := fields.get("program")) is not None:
        said.append(program_text(int(program), str(unit.get("programs_from") or "")))
    if (controller := fields.get("controller")) is not None:
        said.append(control_text(int(controller), fields.get("amount")))
    return each_of(said)
