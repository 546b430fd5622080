"""Scenes belong to the rig's history: checked, told in words, retired and restored, copied."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from core.models import Section
from core.search.backend import search
from rigs.changes.edits import Add, Set
from rigs.models import Control, Scene, SceneEntry, SongSetting, Unit
from rigs.overview.copy import copy_rig, copy_unit
from rigs.retire.services import bring_back, retire_edits, retired_parts
from rigs.revisions.read import as_of, live
from rigs.revisions.record import restore
from rigs.revisions.verify import verify_rig
from rigs.wording import describe
from tests.rigs.scenes.board import Board, add_scene, make_board, names, scene, sets
from tests.rigs.songs.band import make_song
from tests.support.world import World


@pytest.fixture
def board(world: World) -> Board:
    return make_board(world)


def lines(world: World) -> list[str]:
    """The sentences of the newest change."""
    world.rig.refresh_from_db()
    newest = world.rig.revisions.get(number=world.rig.head_number)
    return [line.sentence for line in describe(world.rig, newest.changes.all())]


def test_a_scene_is_told_in_words(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620,0", gain="3.00")
    first, *rest = lines(world)
    assert first == "Foot board, scene “2 Echo” was added"
    assert sorted(rest) == [
        "scene “2 Echo”, Echo, Time: as usual → 620 ms",
        "scene “2 Echo”, Echo: as usual → in",
        "scene “2 Echo”, Head, Gain: as usual → 3:00",
    ]
    assert str(echo) == "2 Echo"
    song = make_song(world, "Alder Ebb", 1)
    world.record(names(world.rig, song, echo))
    assert lines(world) == ["“Alder Ebb”, scene of Foot board: as usual → scene “2 Echo”"]
    verse = Section.objects.create(song=song, name="Verse")
    world.record(names(world.rig, song, echo, section=str(verse.pk), at_s=65))
    [line] = lines(world)
    assert line == "“Alder Ebb”, change of scene: nothing → Verse 1:05: scene “2 Echo”"


def test_settings_are_spelled_by_their_control(world: World, board: Board) -> None:
    made = scene(board, "Echo")
    world.record(made, sets(made.part, board.gain, "4.00"), sets(made.part, board.time, "62,50"))
    assert {e.value for e in SceneEntry.objects.all()} == {"4:00", "62.5"}


@pytest.mark.parametrize(
    ("what", "field", "value", "wrong"),
    [
        ("control", "gain", "6:00", "value"),
        ("control", "gain", "", "value"),
        ("unit", "pedal", "perhaps", "value"),
        ("unit", "gain", "in", "unit"),
    ],
)
def test_what_cannot_be_set_is_refused(
    world: World, board: Board, what: str, field: str, value: str, wrong: str
) -> None:
    made = scene(board, "Echo")
    with pytest.raises(ValidationError) as refused:
        world.record(made, sets(made.part, getattr(board, field), value, what))
    assert list(refused.value.message_dict) == [wrong]
    assert not Scene.objects.exists()


def test_each_thing_once_and_each_number_once(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2a", gain="3:00")
    with pytest.raises(ValidationError, match="something else of this already"):
        world.record(sets(str(echo.pk), board.gain, "4:00"))
    with pytest.raises(ValidationError, match="has the number 2A there"):
        world.record(scene(board, "Other", "2A"))
    other = add_scene(world, board, "Other", gain="4:00")
    with pytest.raises(ValidationError, match="has the number"):
        world.record(Set(str(other.pk), "scene", {"slot": "2a"}))
    add_scene(world, board, "Without a number")


def test_only_gear_that_holds_scenes_has_some(world: World, board: Board) -> None:
    with pytest.raises(ValidationError, match="no kind of gear that recalls scenes"):
        world.record(Add(str(uuid4()), "scene", {"unit": board.pedal, "name": "Echo"}))


def test_what_it_is_about_stays(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", gain="3:00")
    entry = echo.entries.get()
    with pytest.raises(ValidationError, match="stays as it is"):
        world.record(Set(str(entry.pk), "scene_entry", {"control": board.time}))
    with pytest.raises(ValidationError, match="stays as it is"):
        world.record(Set(str(echo.pk), "scene", {"unit": board.pedal}))


@pytest.mark.parametrize(
    "fields",
    [
        {"what": "scene", "unit": "controller"},
        {"what": "scene", "unit": "pedal", "scene": "scene"},
        {"what": "scene", "unit": "controller", "scene": "scene", "at_s": 3},
        {"what": "scene", "unit": "controller", "scene": "scene", "value": "loud"},
        {"what": "scene_change", "unit": "controller", "scene": "scene"},
        {"what": "control", "control": "gain", "value": "3:00", "scene": "scene"},
    ],
)
def test_songs_name_scenes_rightly(world: World, board: Board, fields: dict[str, Any]) -> None:
    echo = add_scene(world, board, "Echo")
    ids = {**board._asdict(), "scene": str(echo.pk)}
    known = {
        name: ids[value] if name in ("unit", "control", "scene") else value
        for name, value in fields.items()
    }
    song = {"song": str(make_song(world, "Alder Ebb", 1).pk)}
    with pytest.raises(ValidationError):
        world.record(Add(str(uuid4()), "song_setting", {**song, **known}))


def test_one_scene_to_begin_with_and_many_within(world: World, board: Board) -> None:
    one, two = (add_scene(world, board, name) for name in ("One", "Two"))
    song = make_song(world, "Alder Ebb", 1)
    first = names(world.rig, song, one)
    world.record(first, *(names(world.rig, song, two, at_s=at) for at in (20, 90)))
    again = Add(str(uuid4()), "song_setting", {**first.fields, "scene": str(two.pk)})
    with pytest.raises(ValidationError, match="something else of this already"):
        world.record(again)
    world.record(Set(first.part, "song_setting", {"scene": str(two.pk)}))
    assert SongSetting.objects.get(what="scene").scene == two


@pytest.mark.parametrize("model", [Scene, Unit, Control])
def test_it_is_retired_with_what_belongs_to_it_and_comes_back(
    world: World, board: Board, model: Any
) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620")
    song = make_song(world, "Alder Ebb", 1)
    world.record(names(world.rig, song, echo))
    before = live(world.rig)
    part = {Scene: echo.pk, Unit: board.controller, Control: board.time}[model]
    world.record(*retire_edits(model.objects.get(pk=part)))
    gone = set(before) - set(live(world.rig))
    expected = {Scene: 4, Unit: 6, Control: 2}[model]
    assert len(gone) == expected
    world.rig.refresh_from_db()
    if model is Scene:
        [group] = retired_parts(world.rig)
        assert (group.heading, group.parts[0].words) == ("Scenes", "of Foot board")
    bring_back(rig=world.rig, part=model.objects.get(pk=part), author=world.tech)
    assert live(world.rig) == before
    verify_rig(world.rig)


def test_a_copy_of_the_rig_has_its_own(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620")
    world.record(names(world.rig, make_song(world, "Alder Ebb", 1), echo))
    made = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    copied = Scene.objects.get(rig=made)
    assert {e.value for e in copied.entries.all()} == {"in", "620"}
    assert {(e.unit or e.control).rig_id for e in copied.entries.all()} == {made.pk}
    assert SongSetting.objects.get(rig=made).scene == copied
    assert copied.unit.rig_id == made.pk


def test_a_copied_unit_has_its_own_in_the_same_rig(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620")
    controller = Unit.objects.get(pk=board.controller)
    before = live(world.rig)
    made = copy_unit(unit=controller, name="Foot board 2", into=world.rig, author=world.tech)
    copied = Scene.objects.get(unit=made)
    assert (str(copied), copied.pk == echo.pk) == ("2 Echo", False)
    said = {(e.what, e.unit_id, e.control_id, e.value) for e in copied.entries.all()}
    assert len(said) == 2
    assert said == {(e.what, e.unit_id, e.control_id, e.value) for e in echo.entries.all()}
    world.rig.refresh_from_db()
    after = live(world.rig)
    assert {part: after[part] for part in before} == before
    verify_rig(world.rig)


def test_in_another_rig_a_copied_unit_sets_itself_alone(world: World, board: Board) -> None:
    made = scene(board, "Echo", "2")
    own = {"unit": board.controller, "name": "Fade", "style": "value", "symbol": "ms"}
    fade = Add(str(uuid4()), "control", {**own, "setting": "5"})
    world.record(made, fade, sets(made.part, board.time, "620"))
    world.record(sets(made.part, fade.part, "7"))
    other = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    controller = Unit.objects.get(pk=board.controller)
    copy = copy_unit(unit=controller, name="Spare board", into=other, author=world.tech)
    [entry] = Scene.objects.get(unit=copy).entries.all()
    assert (entry.value, entry.control.unit_id) == ("7", copy.pk)
    other.refresh_from_db()
    verify_rig(other)


def test_what_scenes_of_others_set_is_not_doubled(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620")
    pedal = Control.objects.get(pk=board.time).unit
    copy_unit(unit=pedal, name="Echo 2", into=world.rig, author=world.tech)
    assert SceneEntry.objects.filter(scene=echo.pk).count() == 2
    assert Scene.objects.count() == 1


def test_an_earlier_state_comes_back(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="in")
    number = world.rig.head_number
    wanted = live(world.rig)
    world.record(*retire_edits(Scene.objects.get(pk=echo.pk)))
    world.rig.refresh_from_db()
    restore(world.rig, number, author=world.tech)
    assert live(world.rig) == wanted == as_of(world.rig, number)


def test_it_is_found(world: World, board: Board) -> None:
    add_scene(world, board, "Cathedral", "2")
    found = search(world.production, "cathedral")
    [hit] = found.hits
    assert "".join(part.text for part in hit.title) == "Foot board · Bass main"
