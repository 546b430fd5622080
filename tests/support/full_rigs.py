"""Rigs as large as one page of paper is meant for: fourteen units, sixteen songs."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any
from uuid import UUID, uuid4

from core.models import Song
from rigs.changes.edits import Add
from rigs.models import Rig
from tests.rigs.songs.band import difference
from tests.support.world import World, make_rig

SETTINGS = ("2:30", "11:00", "12:00", "9:30")
HOURS = ("8:00", "9:00", "10:00", "1:00", "3:00")  # in songs


def fourteen_units(world: World, *, units: int = 14, songs: int = 16) -> Rig:
    """An instrument and what follows it, each with four dials, a switch and a value, four inputs,
    and something to do in each of the songs."""
    ids = [uuid4() for _ in range(units)]
    parts: list[Add] = []
    controls: list[UUID] = []
    for n, unit in enumerate(ids):
        gear = {0: "guitar", units - 1: "combo"}.get(n, "pedal")
        tuning = {"tuning": "C2 G2 C3 F3 A3 D4"} if n == 0 else {}
        fields = {"name": f"Unit number {n + 1}", "gear": gear, "maker": "Tarn", "model": "Fifty"}
        parts.append(Add(str(unit), "unit", fields | tuning | {"position": n}))
        controls.append(uuid4())
        for at, (name, setting) in enumerate(
            zip(("Drive", "Bass", "Mid", "Level"), SETTINGS, strict=True)
        ):
            part = controls[-1] if at == 0 else uuid4()
            known = {"unit": str(unit), "name": name, "setting": setting, "position": at}
            parts.append(Add(str(part), "control", known))
        more: dict[str, Any] = {"unit": str(unit), "style": "switch", "choices": "off, on"}
        parts.append(Add(str(uuid4()), "control", more | {"name": "On", "setting": "on"}))
        value = {"unit": str(unit), "style": "value", "symbol": "ms", "position": 9}
        parts.append(Add(str(uuid4()), "control", value | {"name": "Time", "setting": "380"}))
    for source, target in pairwise(ids):
        cable = {"source": str(source), "target": str(target), "cable": "blue tape"}
        parts.append(Add(str(uuid4()), "link", cable | {"length_m": "0.3", "length_unit": "cm"}))
    for n in range(4):
        known = {"number": 20 + n, "name": f"Guitar mic {n}", "unit": str(ids[-1])}
        known |= {"device": str(world.mic.pk), "aimed_at": "dust cap", "distance_m": "0.035"}
        parts.append(Add(str(uuid4()), "input", known | {"high_pass_hz": "80"}))
    rig = make_rig(world.production, world.player, world.tech, "Guitar left", tuple(parts))
    edits = []
    for n in range(songs):
        song = Song.objects.create(
            production=world.production, title=f"A song of the harbour, {n + 1}", position=n
        )
        edits.append(difference(rig, song, "control", controls[n % units], HOURS[n % len(HOURS)]))
    if edits:
        world_of(rig, world).record(*edits)
    rig.refresh_from_db()
    return rig


def world_of(rig: Rig, world: World) -> World:
    """The same small world with another rig at hand."""
    return replace(world, rig=rig)


def whole_kit(world: World, *, drums: int = 9, cymbals: int = 5, mics: int = 12) -> Rig:
    """A kit with both heads of each drum, all of it placed."""
    parts: list[Add] = []
    for n in range(drums + cymbals):
        is_drum = n < drums
        unit = str(uuid4())
        placed = {"plan_right_m": str(round(-0.8 + 0.12 * n, 2)), "plan_front_m": "0.4"}
        fields = {"name": f"{'Tom' if is_drum else 'Crash'} {n}", "position": n, **placed}
        fields |= {"gear": "drum" if is_drum else "cymbal", "maker": "Tarn", "model": "13 × 9 in"}
        parts.append(Add(unit, "unit", fields))
        if is_drum:
            muffling = {"unit": unit, "name": "Muffling", "style": "text", "setting": "one gel"}
            parts.append(Add(str(uuid4()), "control", muffling))
            parts += [
                Add(str(uuid4()), "spare", _head(unit, "batter", "A2", "fundamental")),
                Add(str(uuid4()), "spare", _head(unit, "resonant", "C#3", "lug")),
            ]
    for n in range(mics):
        known = {"number": 1 + n, "name": f"Kit mic {n}", "device": str(world.mic.pk)}
        known |= {"plan_right_m": str(round(-0.6 + 0.1 * n, 2)), "plan_front_m": "0.3"}
        parts.append(Add(str(uuid4()), "input", known | {"aimed_at": "centre of the head"}))
    return make_rig(world.production, world.player, world.tech, "Drum kit", tuple(parts))


def _head(unit: str, side: str, pitch: str, at: str) -> dict[str, Any]:
    known = {"unit": unit, "sort": "head", "what": "13 in, coated", "maker": "Corvane"}
    return known | {"side": side, "pitch": pitch, "pitch_at": at, "carried": 1}
