"""The pages of scenes: added, changed, drawn, named by a song, and told on the run sheet."""

from __future__ import annotations

import pytest

from core.models import Section
from rigs.changes.edits import Set
from rigs.models import Revision, Scene, SceneEntry, SongSetting
from rigs.songs.run_sheet import run_sheet
from tests.rigs.scenes.board import Board, add_scene, make_board, names
from tests.rigs.songs.band import difference, make_song
from tests.support.pages import as_user, queries_of
from tests.support.pages import at as place
from tests.support.rig_pages import Page, at
from tests.support.world import World


@pytest.fixture
def board(world: World) -> Board:
    return make_board(world)


def entries() -> set[str]:
    return {f"{e.unit or e.control}: {e.value}" for e in SceneEntry.objects.live()}


def new_page(world: World, board: Board) -> Page:
    return Page(as_user(world.tech), at(world, "scene_new", board.controller))


def test_one_save_is_one_change(world: World, board: Board) -> None:
    page = new_page(world, board)
    before = Revision.objects.count()
    answer = page.send(
        **{"slot": "2", "name": " Echo ", f"u-{board.pedal}": "in", f"c-{board.gain}": "3.00"}
    )
    assert (answer.status, Revision.objects.count()) == (302, before + 1)
    assert str(Scene.objects.get()) == "2 Echo"
    assert entries() == {"Echo: in", "Gain: 3:00"}


def test_what_the_rules_refuse_is_said_at_the_field_and_kept(world: World, board: Board) -> None:
    add_scene(world, board, "Dry", "1")
    page = new_page(world, board)
    answer = page.send(slot="1", name="Echo", **{f"c-{board.gain}": "6:00"})
    assert answer.status == 200
    assert "points below the dial" in answer.html
    answer = page.send(slot="1", name="Echo", **{f"c-{board.gain}": "4:00"})
    assert "Another scene has the number 1 there." in answer.html
    assert 'value="4:00"' in answer.html
    assert Scene.objects.count() == 1


def test_sent_as_it_is_shown_nothing_is_written(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="bypassed", time="620")
    before = Revision.objects.count()
    assert Page(as_user(world.tech), at(world, "scene", echo)).send().status == 302
    assert Revision.objects.count() == before


def test_an_emptied_field_is_as_documented_again(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", pedal="bypassed", time="620")
    page = Page(as_user(world.tech), at(world, "scene", echo))
    page.send(name="Short echo", **{f"u-{board.pedal}": "", f"c-{board.time}": "410"})
    assert entries() == {"Time: 410"}
    assert str(Scene.objects.get()) == "2 Short echo"
    # What went comes back as the same part.
    page = Page(as_user(world.tech), at(world, "scene", echo))
    page.send(**{f"u-{board.pedal}": "in"})
    assert entries() == {"Time: 410", "Echo: in"}


def test_two_who_turn_one_thing_see_both_values(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Echo", "2", time="620")
    page = Page(as_user(world.tech), at(world, "scene", echo))
    world.record(
        Set(str(echo.entries.get().pk), "scene_entry", {"value": "500"}), author=world.engineer
    )
    answer = page.send(**{f"c-{board.time}": "700"})
    assert answer.status == 409
    assert "500" in answer.html
    assert "700" in answer.html
    assert entries() == {"Time: 500"}


def test_the_path_is_drawn_in_a_scene_by_a_link(world: World, board: Board) -> None:
    echo = add_scene(world, board, "Dry", "1", pedal="bypassed")
    client = as_user(world.people["crew"])
    rig = client.get(world.rig.get_absolute_url()).content.decode()
    link = f"{world.rig.get_absolute_url()}?scene={echo.pk}#path"
    assert link in rig
    assert "path-bypassed" not in rig
    shown = client.get(link).content.decode()
    assert shown.count("path-bypassed") >= 1
    assert "Echo is bypassed." in shown
    # An address of a scene that is gone is no dead end.
    gone = client.get(f"{world.rig.get_absolute_url()}?scene=nonsense")
    assert (gone.status_code, "path-bypassed" in gone.content.decode()) == (200, False)


def test_a_song_names_scenes_on_its_page(world: World, board: Board) -> None:
    one, two = (add_scene(world, board, name, n) for n, name in (("1", "Dry"), ("2", "Echo")))
    song = make_song(world, "Alder Ebb", 1)
    bridge = Section.objects.create(song=song, name="Bridge")
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    field = f"s-{board.controller}"
    answer = page.send(
        **{
            field: str(one.pk),
            "x-new1": str(two.pk),
            "x-new1-section": str(bridge.pk),
            "x-new1-at": "1:05",
        }
    )
    assert answer.status == 302
    said = {row.what: row for row in SongSetting.objects.all()}
    assert said["scene"].scene == one
    change = said["scene_change"]
    assert (change.scene, change.section, change.at_s) == (two, bridge, 65)
    shown = as_user(world.tech).get(at(world, "rig_song", song)).content.decode()
    assert "Scene on Foot board" in shown
    assert "scene 2 Echo on Foot board" in shown
    before = Revision.objects.count()
    Page(as_user(world.tech), at(world, "rig_song", song)).send()
    assert Revision.objects.count() == before
    # Another scene at the same moment is the same part; none takes it out.
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    page.send(**{f"x-{change.pk}": str(one.pk), field: ""})
    assert [row.what for row in SongSetting.objects.live()] == ["scene_change"]
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    page.send(**{f"x-{change.pk}": ""})
    assert not SongSetting.objects.live().exists()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"x-new1-at": "0:10"}, "Choose the scene."),
        ({"x-new1": "scene"}, "Say when: a section, a time, or both."),
    ],
)
def test_a_scene_within_a_song_has_its_moment(
    world: World, board: Board, typed: dict[str, str], words: str
) -> None:
    one = add_scene(world, board, "Dry", "1")
    page = Page(as_user(world.tech), at(world, "rig_song", make_song(world, "Alder Ebb", 1)))
    answer = page.send(**{n: str(one.pk) if v == "scene" else v for n, v in typed.items()})
    assert words in answer.html
    assert not SongSetting.objects.exists()


def test_a_rig_without_scenes_offers_none(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "rig_song", make_song(world, "Alder Ebb", 1)))
    assert "Scenes within the song" not in page.html
    assert (
        "scene-choice" not in as_user(world.tech).get(world.rig.get_absolute_url()).content.decode()
    )


def test_the_run_sheet_says_what_to_press_and_what_is_behind(world: World, board: Board) -> None:
    dry = add_scene(world, board, "Dry", "1", pedal="bypassed")
    echo = add_scene(world, board, "Echo", "2", pedal="in", time="620", gain="1:00")
    songs = [make_song(world, f"Song {n}", n) for n in range(1, 6)]
    world.record(
        names(world.rig, songs[0], dry),
        names(world.rig, songs[1], echo),
        difference(world.rig, songs[1], "control", world.control, "4:00"),
        names(world.rig, songs[2], echo),
        names(world.rig, songs[2], dry, at_s=60),
        names(world.rig, songs[3], dry),
    )
    rows = run_sheet(world.production, world.player).songs
    told = [
        [(s.scene and s.scene.label, s.pressed, s.was) for s in row.parts[0].scenes] for row in rows
    ]
    assert told == [
        [("1 Dry", True, "")],
        [("2 Echo", True, "1 Dry")],
        [("2 Echo", True, "2 Echo")],  # pressed again: the gain was set by hand
        [("1 Dry", False, "1 Dry")],  # the song before ended in it
        [(None, False, "1 Dry")],
    ]
    by_hand = [
        [(c.control.text, c.control.was_text) for c in row.parts[0].controls] for row in rows
    ]
    # The press sets the gain to 1:00, from where it is turned; all else is behind the press.
    assert by_hand == [[], [("4:00", "1:00")], [], [], []]
    assert [e.text for e in rows[1].parts[0].scenes[0].behind] == ["in", "1:00", "620 ms"]
    html = as_user(world.tech).get(place(world, "rigs:run_sheet")).content.decode()
    assert "<strong>2 Echo</strong>" in html
    assert "One press sets" in html
    assert "Press “2 Echo” on “Foot board”" in html
    assert "Leave “1 Dry” on “Foot board”: no scene is named" in html
    pdf = as_user(world.tech).get(place(world, "rigs:run_sheet_pdf"))
    assert pdf["Content-Type"] == "application/pdf"


def test_queries_do_not_grow_with_scenes(world: World, board: Board) -> None:
    song = make_song(world, "Alder Ebb", 1)
    client = as_user(world.tech)
    first = add_scene(world, board, "First", "1", pedal="in", time="100")
    world.record(names(world.rig, song, first))
    urls = [
        at(world, "scene", first),
        at(world, "unit", board.controller),
        at(world, "rig_song", song),
        world.rig.get_absolute_url(),
        place(world, "rigs:run_sheet"),
    ]
    for url in urls:
        client.get(url)
    before = [queries_of(client, url) for url in urls]
    for n in range(2, 6):
        more = add_scene(world, board, f"Scene {n}", str(n), pedal="in", time="100", gain="1:00")
        world.record(names(world.rig, song, more, at_s=n))
    assert [queries_of(client, url) for url in urls] == before
