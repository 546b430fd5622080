"""Scenes outside their pages: the API, and what a handover says of them."""

from __future__ import annotations

from uuid import uuid4

import pytest

from notes.handover.sheet import sheet_of
from rigs.changes.edits import Add
from rigs.revisions.read import live
from rigs.scenes.matter import scenes_before
from rigs.wording.build import snapshot_view
from tests.rigs.scenes.board import Board, add_scene, make_board, names
from tests.rigs.songs.band import difference, make_song
from tests.support.api import api
from tests.support.world import World, make_world


@pytest.fixture
def board(world: World) -> Board:
    return make_board(world)


def test_the_api_says_how_a_rig_stands_and_whose_word_it_is(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620", gain="1:00")
    dry = add_scene(world, board, "Dry", "1", pedal="bypassed")
    song = make_song(world, "Alder Ebb", 1)
    world.record(
        names(world.rig, song, echo), difference(world.rig, song, "control", world.control, "4:00")
    )
    url, crew = f"/api/v1/rigs/{world.rig.pk}/played/", api(world.people["crew"])

    def stands(query: str) -> dict[str, tuple[str, str]]:
        found = crew.get(url + query).json()
        return {row["part"]: (row["value"], row["layer"]) for row in found["controls"]} | {
            row["part"]: (row["value"], row["layer"]) for row in found["units"]
        }

    gain, time, pedal = str(world.control.pk), board.time, board.pedal
    assert stands("") == {gain: ("2:30", "documented"), time: ("380", "documented")}
    in_song = {gain: ("4:00", "song"), time: ("620", "scene"), pedal: ("in", "scene")}
    assert stands(f"?song={song.pk}") == in_song
    assert stands(f"?song={song.pk}&scene={dry.pk}") == {
        gain: ("4:00", "song"),
        time: ("380", "documented"),
        pedal: ("bypassed", "scene"),
    }
    elsewhere = make_song(make_world("Another act"), "Theirs", 1)
    for query in (f"?song={elsewhere.pk}", f"?scene={uuid4()}"):
        assert crew.get(url + query).status_code == 404
    assert crew.get(f"{url}?song=nonsense").status_code == 400


def test_a_handover_has_scenes_and_what_songs_press(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620")
    song = make_song(world, "Alder Ebb", 1)
    world.record(names(world.rig, song, echo), names(world.rig, song, echo, at_s=65))
    sheet = sheet_of(snapshot_view(world.rig, live(world.rig)), {}, {})
    assert sheet["scenes"] == [
        {"title": "2 Echo on Foot board", "line": "Echo in, Echo Time 620 ms"}
    ]
    [told] = sheet["songs"]
    assert [(line["label"], line["text"]) for line in told["lines"]] == [
        ("Scene on Foot board", "2 Echo"),
        ("1:05", "scene 2 Echo on Foot board"),
    ]


def test_a_line_check_says_which_scenes_an_input_depends_on(world: World, board: Board) -> None:
    add_scene(world, board, "Dry", "1", pedal="bypassed")
    assert scenes_before([world.input]) == {}  # nothing leads from the pedal to it
    cable = {"source": board.pedal, "target": str(world.unit.pk)}
    world.record(Add(str(uuid4()), "link", cable))
    add_scene(world, board, "Loud", "2", gain="4:00")
    assert scenes_before([world.input]) == {world.input.pk: "1 Dry, 2 Loud"}
