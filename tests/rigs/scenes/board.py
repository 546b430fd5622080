"""A bass rig with a controller that recalls scenes, and a pedal which they switch."""

from __future__ import annotations

from typing import Any, NamedTuple
from uuid import uuid4

from core.models import Song
from rigs.changes.edits import Add
from rigs.models import Rig, Scene
from rigs.models.songs import own_id
from tests.support.world import World


class Board(NamedTuple):
    """The ids of the parts; `gain` is the control of the small production's amplifier."""

    controller: str
    pedal: str
    time: str
    gain: str


def make_board(world: World) -> Board:
    board = Board(str(uuid4()), str(uuid4()), str(uuid4()), str(world.control.pk))
    unit, time = {"unit": board.pedal}, {"name": "Time", "style": "value", "symbol": "ms"}
    world.record(
        Add(board.controller, "unit", {"name": "Foot board", "gear": "controller", "position": 2}),
        Add(board.pedal, "unit", {"name": "Echo", "gear": "pedal", "position": 3}),
        Add(board.time, "control", {**unit, **time, "setting": "380"}),
        Add(
            str(uuid4()),
            "link",
            {"source": board.controller, "target": board.pedal, "carries": "control"},
        ),
    )
    return board


def scene(board: Board, name: str, slot: str = "", **more: Any) -> Add:
    return Add(
        str(uuid4()), "scene", {"unit": board.controller, "slot": slot, "name": name, **more}
    )


def sets(scene: str, about: str, value: str, what: str = "control") -> Add:
    return Add(
        str(uuid4()), "scene_entry", {"scene": scene, "what": what, what: about, "value": value}
    )


def add_scene(world: World, board: Board, name: str, slot: str = "", **settings: str) -> Scene:
    """A scene on the board; `settings` are by a field of the board: a control, or `pedal`."""
    made = scene(board, name, slot, position=Scene.objects.count() + 1)
    entries = [
        sets(made.part, getattr(board, field), value, "unit" if field == "pedal" else "control")
        for field, value in settings.items()
    ]
    world.record(made, *entries)
    return Scene.objects.get(pk=made.part)


def names(rig: Rig, song: Song, scene: Scene, **moment: Any) -> Add:
    """That `song` begins with the scene, or changes to it at a moment."""
    what = "scene_change" if moment else "scene"
    part = uuid4() if moment else own_id(rig.pk, song.pk, what, scene.unit_id)
    fields = {
        "song": str(song.pk),
        "what": what,
        "unit": str(scene.unit_id),
        "scene": str(scene.pk),
    }
    return Add(str(part), "song_setting", {**fields, **moment})
