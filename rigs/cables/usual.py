"""What a cable between two kinds of gear usually is: its level, lead, plugs and length. Pure.

Levels follow what the gear puts out. Wherever an amplifier's speaker output may lead, it is a
speaker cable: an instrument lead there overheats and can break the amplifier. Lengths and plugs are
common practice, no source; ¼ in is the plug of IEC 60603-11, XLR that of IEC 61076-2-103.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from django.utils.translation import gettext_lazy, gettext_noop

from core.units import Length
from rigs.gear import Family, Gear, Has


class UsualCable(NamedTuple):
    """`carries` is a key of Link.Carries; what is not known of its kind stays empty."""

    key: str
    carries: str
    cable: str = ""
    connectors: str = ""
    length: Length | None = None


def _metres(metres: str, unit: str = "m") -> Length:
    return Length(Decimal(metres), unit)


_STRAIGHT = "¼ in straight to ¼ in straight"

PATCH = UsualCable(
    "patch",
    "instrument",
    gettext_noop("patch lead"),
    "¼ in angled to ¼ in angled",
    _metres("0.3", "cm"),
)
LEAD = UsualCable("lead", "instrument", gettext_noop("instrument lead"), _STRAIGHT, _metres("6"))
LINE = UsualCable("line", "line", gettext_noop("line lead"), _STRAIGHT, _metres("3"))
LINE_PATCH = PATCH._replace(key="line_patch", carries="line")
SPEAKER = UsualCable("speaker", "speaker", gettext_noop("speaker cable"), _STRAIGHT, _metres("1.5"))
MIC = UsualCable("mic", "mic", gettext_noop("microphone cable"), "XLR to XLR", _metres("10"))
SUPPLY = UsualCable(
    "supply", "power", gettext_noop("supply lead"), "DC plug to DC plug", _metres("0.3", "cm")
)
RADIO = UsualCable("radio", "radio")
CONTROL = UsualCable("control", "control")
DIGITAL = UsualCable("digital", "digital")
SPEAKER_CAUTION = gettext_lazy(
    "Between amplifier and cabinet only a speaker cable, never an instrument lead; and a valve "
    "amplifier never without its load."
)

_CONTROL = re.compile(r"\b(midi|control|switching|expression|remote)\b", re.IGNORECASE)
_DIGITAL = re.compile(r"\b(usb|digital|optical|aes\d*|adat|spdif|s/pdif)\b", re.IGNORECASE)
_SPEAKER = re.compile(r"\b(speaker|loudspeaker|ext(ension)? cab(inet)?|\d+ ?(Ω|ohms?))", re.I)
# Sockets of an amplifier that give no speaker power.
_NO_POWER = re.compile(r"\b(send|line|direct|di|tuner|headphones?|xlr|pre|fx|effects)\b", re.I)


def usual_cable(
    source: Gear, target: Gear, from_socket: str = "", to_socket: str = ""
) -> UsualCable:
    """What usually leads from `source` to `target`, by those sockets."""
    # Cables that bear power come first, so that a word such as “control” in the name of a socket
    # cannot turn one into a lead that must not bear it.
    if source.supplies_power:
        return SUPPLY
    if _bears_power(source, target, from_socket):
        return SPEAKER
    sockets = f"{from_socket} {to_socket}"
    if _CONTROL.search(sockets):
        return CONTROL
    if _DIGITAL.search(sockets):
        return DIGITAL
    if target.receives_radio:
        return RADIO
    if source.person:
        return MIC
    is_on_board = {source.family, target.family} <= {Family.EFFECTS, Family.ROUTING}
    if source.line_out or source.family in (Family.AMPLIFIERS, Family.KEYS):
        return LINE_PATCH if is_on_board else LINE
    return PATCH if is_on_board else LEAD


def _bears_power(source: Gear, target: Gear, from_socket: str) -> bool:
    """Whether speaker power may run along it. In doubt it does: the safer cable of the two."""
    if _SPEAKER.search(from_socket):
        return True
    if target.loudspeaker and target.bears_speaker_power is Has.YES:
        # What may have an amplifier of its own is driven by one only from one.
        return target.valves is Has.NO or source.drives_loudspeakers
    return (
        source.drives_loudspeakers
        and target.bears_speaker_power is not Has.NO
        and not _NO_POWER.search(from_socket)
    )
