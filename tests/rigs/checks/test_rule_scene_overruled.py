"""A control set by scene and song: the song's own setting counts, and a finding says so."""

from __future__ import annotations

from rigs.changes.edits import Set
from rigs.checks.load import benches
from rigs.checks.rules.scene_overruled import check
from rigs.checks.run import findings
from tests.rigs.checks.laying import value
from tests.rigs.scenes.board import add_scene, make_board, names
from tests.rigs.songs.band import difference, make_song
from tests.support.world import World


def test_it_is_told_where_they_differ(world: World) -> None:
    board = make_board(world)
    echo = add_scene(world, board, "Echo", "2", time="620", gain="1:00")
    song = make_song(world, "Alder Ebb", 1)
    world.record(
        names(world.rig, song, echo), difference(world.rig, song, "control", world.control, "1:00")
    )
    [bench] = benches([world.rig]).values()
    assert list(check(bench)) == []
    row = world.rig.song_settings.get(what="control")
    world.record(Set(str(row.pk), "song_setting", {"value": "4:00"}))
    [bench] = benches([world.rig]).values()
    [found] = check(bench)
    assert found.title == (
        "“Alder Ebb”: scene “2 Echo” and the song both set Head, Gain; the song’s own setting "
        "counts"
    )
    assert (value(found, "in the scene"), value(found, "in the song")) == ("1:00", "4:00")
    assert "scene_overruled" in {each.rule for each in findings(bench)}
