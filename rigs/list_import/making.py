"""What a list makes besides inputs: players and rigs for names that are not there, devices for
microphones that the catalogue does not have. Nothing is saved here: `services` does it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any
from uuid import UUID, uuid5

from core.models import Player, Production
from rigs.inputs.device_words import NEVER_PHANTOM, USUALLY_PHANTOM, DeviceDraft, read_device
from rigs.list_import.instruments import instrument_of, is_only_instrument
from rigs.models import Device, Rig

MAKE, LEAVE = "make", "leave"

Choices = Mapping[str, Mapping[str, Mapping[str, str]]]

# As many as a page can ask about; more of a kind are made as they are proposed.
MOST_SHOWN = 60
_DI = re.compile(r"\b(?:di|d\.i\.?|direct|line box|box)\b", re.IGNORECASE)
_WORDS_OF = (
    (Device.Principle.RIBBON, re.compile(r"\bribbon\b", re.IGNORECASE)),
    (Device.Principle.BOUNDARY, re.compile(r"\b(?:boundary|plate)\b", re.IGNORECASE)),
    (Device.Principle.CONTACT, re.compile(r"\b(?:contact|piezo)\b", re.IGNORECASE)),
)
# Beside an instrument in a title: “Keys (stage right)” names a place and no person.
_PLACE = re.compile(
    r"\b(?:stage|riser|left|right|centre|center|floor|nobody|tbc|tba|s[lrc]|[uds]s[lrc]?)\b",
    re.IGNORECASE,
)
_PARTS = re.compile(r"\s+[-–—:/|]\s+|\s*[(:]\s*")


def key_of(words: str) -> str:
    """A name for form fields, the same for the same words."""
    return sha256(words.casefold().encode()).hexdigest()[:10]


@dataclass(slots=True)
class RigPlan:
    """A rig for rows whose player has none here. `do`: make, leave, or the id of a rig there is."""

    words: str  # as it stands in the file; empty where only the names of the inputs tell
    key: str
    do: str = MAKE
    rig: Rig | None = None  # unsaved where it is made, None where the rows are left out
    names: list[str] = field(default_factory=list)  # of the inputs
    new_player: bool = True

    @property
    def makes(self) -> bool:
        return self.do == MAKE


@dataclass(slots=True)
class DevicePlan:
    """A device the catalogue does not have. `do`: a principle, leave, or the id of a device."""

    words: str
    key: str
    do: str
    device: Device | None = None  # unsaved where it is made, None where the cell is left out
    phantom: list[bool] = field(default_factory=list)  # what the rows with it say
    count: int = 0

    @property
    def makes(self) -> bool:
        return self.do in Device.Principle.values


class Making:
    """Collects what the rows ask for; `finish` gives it names once all rows are read.

    One query. Ids follow from the upload, so that each look proposes the same.
    """

    def __init__(self, production: Production, upload: UUID, choices: Choices) -> None:
        self.production, self.upload = production, upload
        self._rig_choices = choices.get("rigs", {})
        self._device_choices = choices.get("devices", {})
        self.rigs: dict[str, RigPlan] = {}
        self.devices: dict[str, DevicePlan] = {}
        self._first: dict[tuple[UUID, str], Rig] = {}  # by player and name
        self._players: dict[str, Player] = {}
        for player in Player.objects.live().filter(production=production):
            for name in (player.instrument, player.name):
                self._players.setdefault(name.casefold(), player)

    def rig_for(self, words: str, name: str, existing: Iterable[Rig]) -> RigPlan | None:
        """The plan for the rows of a player called `words`, or, without words, of the instrument
        that the input's `name` tells; None where it tells none."""
        label = words if tells_a_player(words) else instrument_of(name) or words
        if not label:
            return None
        key = key_of(label)
        plan = self.rigs.get(key)
        if plan is None:
            do = self._rig_choices.get(key, {}).get("do", MAKE)
            plan = self.rigs[key] = RigPlan(words, key, do)
            if do == MAKE:
                plan.rig = Rig(pk=uuid5(self.upload, f"rig {key}"), production=self.production)
                self._name(plan, label)
            elif do != LEAVE:
                plan.rig = next((rig for rig in existing if str(rig.pk) == do), None)
        plan.names.append(name)
        return plan

    def _name(self, plan: RigPlan, label: str) -> None:
        """Player and name of the rig as far as the title tells them, or as somebody chose."""
        assert plan.rig is not None  # noqa: S101 - only called for a rig that is made
        said = self._rig_choices.get(plan.key, {})
        person, instrument = person_and_instrument(label)
        name = (said.get("player") or person)[:120]
        player = self._players.get(name.casefold())
        plan.new_player = player is None or player._state.adding
        if player is None:
            pk = uuid5(self.upload, f"player {name.casefold()}")
            instrument = said.get("instrument") or instrument
            player = Player(
                pk=pk, production=self.production, name=name, instrument=instrument[:120]
            )
            self._players[name.casefold()] = player
        elif plan.new_player and said.get("instrument"):
            player.instrument = said["instrument"][:120]
        plan.rig.player = player
        plan.rig.name = said.get("name", "")[:120]

    def device_for(self, words: str, existing: Mapping[UUID, Device]) -> DevicePlan:
        key = key_of(words)
        plan = self.devices.get(key)
        if plan is None:
            do = self._device_choices.get(key, {}).get("do", "")
            plan = self.devices[key] = DevicePlan(words, key, do)
            if do and do != LEAVE and not plan.makes:
                plan.device = next((d for pk, d in existing.items() if str(pk) == do), None)
            elif do != LEAVE:
                pk = uuid5(self.upload, f"device {key}")
                plan.device = Device(pk=pk, production=self.production, name=words)
                if (draft := drafted(words)) is not None:
                    for name, value in draft.fields.items():
                        setattr(plan.device, name, value)
                    plan.do = plan.do or draft.principle.value
        plan.count += 1
        return plan

    def finish(self) -> None:
        """Give what is made the names and kinds that follow from all its rows."""
        for plan in self.rigs.values():
            if plan.makes and plan.rig is not None:
                self._finish_rig(plan, plan.rig)
                key = plan.rig.player.pk, plan.rig.name.casefold()
                self._first.setdefault(key, plan.rig)
        for device_plan in self.devices.values():
            device_plan.do = device_plan.do or _principle(device_plan)
            device = device_plan.device
            if device_plan.makes and device is not None:
                device.principle = device_plan.do
                device.form = Device.Form.DI if device_plan.do.startswith("di_") else "mic"
                powered = any(device_plan.phantom) and device_plan.do not in NEVER_PHANTOM
                device.phantom = device_plan.do in USUALLY_PHANTOM or powered

    def _finish_rig(self, plan: RigPlan, rig: Rig) -> None:
        told = Counter(filter(None, map(instrument_of, plan.names)))
        instrument = told.most_common(1)[0][0] if told else ""
        rig.player.instrument = rig.player.instrument or instrument or rig.player.name
        rig.name = rig.name or f"{instrument or rig.player.instrument} main"[:120]

    def same_rig(self, rig: Rig) -> Rig:
        """The first plan's rig where two plans came out as one rig of one player."""
        return self._first.get((rig.player.pk, rig.name.casefold()), rig)

    @property
    def shown_rigs(self) -> list[RigPlan]:
        return list(self.rigs.values())[:MOST_SHOWN]

    @property
    def shown_devices(self) -> list[DevicePlan]:
        return list(self.devices.values())[:MOST_SHOWN]

    @property
    def not_shown(self) -> int:
        plans = len(self.rigs) + len(self.devices)
        return plans - len(self.shown_rigs) - len(self.shown_devices)


def drafted(words: str) -> DeviceDraft | None:
    """The device in words that say what kind it is, too: “condenser, Hallam D2”."""
    try:
        return read_device(words)
    except ValueError:
        return None


def tells_a_player(words: str) -> bool:
    """Whether a title names a person or an instrument; “RISER 2” is a place with several."""
    return bool(instrument_of(words) or (words and not _PLACE.search(words)))


def person_and_instrument(label: str) -> tuple[str, str]:
    """“DRUMS - Odd” → Odd, Drums; “Keys (stage right)” → Keys, Keys; “Joos” → Joos and nothing."""
    parts = [part.strip(" >*#=_-–—.:)(") for part in _PARTS.split(label)]
    parts = [part for part in parts if part] or [label]
    instrument = next((found for part in parts if (found := instrument_of(part))), "")
    people = [p for p in parts if not is_only_instrument(p) and not _PLACE.search(p)]
    if people:
        return people[-1], instrument
    return (instrument or parts[0].capitalize()), instrument


def _principle(plan: DevicePlan) -> str:
    """What the words and the phantom power of its rows suggest; moving coil where nothing does."""
    powered = any(plan.phantom)
    if _DI.search(plan.words):
        return Device.Principle.DI_ACTIVE if powered else Device.Principle.DI_PASSIVE
    for principle, words in _WORDS_OF:
        if words.search(plan.words):
            return principle
    return Device.Principle.CONDENSER if powered else Device.Principle.DYNAMIC


def choices_of(made: Any) -> Choices:
    """What was stored, whatever was stored."""
    return made if isinstance(made, dict) else {}
