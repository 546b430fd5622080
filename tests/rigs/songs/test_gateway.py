"""What songs change belongs to the rig's history: checked, merged, restored, retired with gear."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from core.models import Section, Song
from rigs.changes.edits import Add, Retire, Set
from rigs.models import Control, SongSetting, Unit
from rigs.overview.copy import copy_rig
from rigs.retire.services import bring_back, retire_edits
from rigs.revisions.read import as_of, live
from rigs.revisions.record import Conflict, record, restore
from rigs.revisions.verify import verify_rig
from rigs.wording import describe, snapshot_view
from rigs.wording.build import set_views
from tests.rigs.songs.band import DROP_C, STANDARD, difference, guitars, make_song
from tests.support.world import World, make_world


@pytest.fixture
def song(world: World) -> Song:
    return make_song(world, "Alder Ebb", 1)


def add(world: World, song: Song, value: str = "4:00", **more: Any) -> Add:
    made = difference(world.rig, song, "control", world.control, value)
    return Add(made.part, made.kind, {**made.fields, **more})


def said(world: World) -> dict[str, str]:
    return {row.what: row.value for row in SongSetting.objects.live().filter(rig=world.rig)}


def test_a_setting_is_spelled_by_the_rules_of_its_control(world: World, song: Song) -> None:
    world.record(add(world, song, "4.00"))
    assert said(world) == {"control": "4:00"}
    [row] = SongSetting.objects.all()
    world.record(Set(str(row.pk), "song_setting", {"value": "1h30"}))
    assert said(world) == {"control": "1:30"}


@pytest.mark.parametrize("value", ["6:00", "loud", "13:00"])
def test_a_setting_that_the_control_has_not_is_refused(
    world: World, song: Song, value: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        world.record(add(world, song, value))
    assert list(refused.value.message_dict) == ["value"]


def test_a_control_that_comes_with_the_difference_gives_the_rules(world: World, song: Song) -> None:
    control = uuid4()
    fields = {"unit": str(world.unit.pk), "name": "Mix", "style": "dial", "high": "5"}
    both = [
        Add(str(control), "control", fields),
        difference(world.rig, song, "control", control, "4,50"),
    ]
    world.record(*both)
    assert said(world) == {"control": "4.5"}
    with pytest.raises(ValidationError, match="off the dial"):
        world.record(
            Add(str(uuid4()), "control", fields),
            *[Set(str(SongSetting.objects.get().pk), "song_setting", {"value": "6"})],
        )


def test_one_word_on_each_thing(world: World, song: Song) -> None:
    world.record(add(world, song))
    twice = Add(str(uuid4()), "song_setting", dict(add(world, song, "2:00").fields))
    with pytest.raises(ValidationError, match="something else of this already"):
        world.record(twice)
    world.record(add(world, make_song(world, "Other", 2), "2:00"))  # another song may


def test_what_it_is_about_stays(world: World, song: Song) -> None:
    world.record(add(world, song))
    [row] = SongSetting.objects.all()
    other = make_song(world, "Other", 2)
    with pytest.raises(ValidationError, match="stays as it is"):
        world.record(Set(str(row.pk), "song_setting", {"song": str(other.pk)}))


@pytest.mark.parametrize(
    "fields",
    [
        {"what": "control"},
        {"what": "tuning", "value": ""},
        {"what": "input", "value": "on"},
        {"what": "cue", "value": ""},
        {"what": "cue", "value": "pedal on", "control": "control"},
        {"what": "control", "control": "control", "value": "2:00", "at_s": 3},
        {"what": "instrument", "unit": "unit", "value": "loud"},
    ],
)
def test_what_makes_no_sense_is_refused(world: World, song: Song, fields: dict[str, Any]) -> None:
    about = {"control": world.control.pk, "unit": world.unit.pk}
    told = {name: str(about.get(name, value)) for name, value in fields.items()}
    if "at_s" in fields:
        told["at_s"] = fields["at_s"]
    with pytest.raises(ValidationError):
        world.record(Add(str(uuid4()), "song_setting", {"song": str(song.pk), **told}))


def test_nothing_points_out_of_the_production(world: World, song: Song) -> None:
    stranger = make_world("Another act")
    theirs = make_song(stranger, "Theirs", 1)
    with pytest.raises(ValidationError) as refused:
        world.record(difference(world.rig, theirs, "control", world.control, "2:00"))
    assert "song" in refused.value.message_dict
    with pytest.raises(ValidationError) as refused:
        world.record(difference(world.rig, song, "control", stranger.control, "2:00"))
    assert "control" in refused.value.message_dict


def test_a_cue_belongs_to_a_section_of_its_song(world: World, song: Song) -> None:
    other = Section.objects.create(song=make_song(world, "Other", 2), name="Bridge")
    cue = difference(world.rig, song, "cue", value="pedal on")
    with pytest.raises(ValidationError, match="section of another song"):
        world.record(Add(cue.part, cue.kind, {**cue.fields, "section": str(other.pk)}))


def test_a_retired_control_takes_its_differences_along_and_back(world: World, song: Song) -> None:
    world.record(add(world, song))
    with pytest.raises(ValidationError, match="still belongs to it"):
        world.record(Retire(str(world.control.pk), "control"))
    world.record(*retire_edits(world.control))
    assert said(world) == {}
    world.rig.refresh_from_db()
    bring_back(rig=world.rig, part=Control.objects.get(), author=world.tech)
    assert said(world) == {"control": "4:00"}


def test_a_retired_unit_brings_back_what_was_said_of_its_controls(world: World, song: Song) -> None:
    rig, (first, second) = guitars(world, DROP_C, STANDARD)
    knob = uuid4()
    edits = [
        Add(str(knob), "control", {"unit": str(second), "name": "Tone", "setting": "2:00"}),
        difference(rig, song, "control", knob, "3:00"),
        difference(rig, song, "instrument", second),
        difference(rig, song, "tuning", second, DROP_C),
    ]
    record(rig, edits, author=world.tech, base=rig.head_number)
    unit = Unit.objects.get(pk=second)
    record(rig, retire_edits(unit), author=world.tech, base=rig.head_number)
    assert not SongSetting.objects.live().filter(rig=rig).exists()
    # Meanwhile the song is given the other guitar: that word of today counts.
    again = difference(rig, song, "instrument", first)
    record(rig, [again], author=world.tech, base=rig.head_number)
    unit.refresh_from_db()
    bring_back(rig=rig, part=unit, author=world.tech)
    found = {row.what: str(row) for row in SongSetting.objects.live().filter(rig=rig)}
    assert found == {
        "control": "Tone: 3:00 in “Alder Ebb”",
        "instrument": "Guitar 1 in “Alder Ebb”",
        "tuning": f"Guitar 2: {DROP_C} in “Alder Ebb”",
    }
    verify_rig(rig)


def test_as_of_and_restore(world: World, song: Song) -> None:
    world.record(add(world, song), difference(world.rig, song, "cue", value="after the bridge: on"))
    [row] = SongSetting.objects.filter(what="control")
    world.record(Set(str(row.pk), "song_setting", {"value": "1:00"}))
    world.record(*retire_edits(world.control))
    song.retire()  # what was said of a song may come back though the song left the set
    world.rig.refresh_from_db()
    then = as_of(world.rig, 2)
    restore(world.rig, 2, author=world.tech)
    world.rig.refresh_from_db()
    assert live(world.rig) == then
    assert said(world) == {"control": "4:00", "cue": "after the bridge: on"}
    verify_rig(world.rig)


def test_two_people_who_set_one_thing_see_both_values(world: World, song: Song) -> None:
    base = world.rig.head_number
    world.record(add(world, song, "4:00"), base=base)
    with pytest.raises(Conflict) as met:
        world.record(add(world, song, "1:00"), base=base)
    [clash] = met.value.clashes
    assert isinstance(clash.now, dict)
    assert isinstance(clash.typed, dict)
    assert (clash.now["value"], clash.typed["value"]) == ("4:00", "1:00")
    world.record(add(world, make_song(world, "Other", 2), "1:00"), base=base)  # no clash


def test_setting_it_alike_twice_writes_nothing(world: World, song: Song) -> None:
    base = world.rig.head_number
    assert world.record(add(world, song), base=base) is not None
    assert world.record(add(world, song), base=base) is None


def test_a_copied_rig_has_them_about_its_own_parts(world: World, song: Song) -> None:
    world.record(add(world, song))
    world.rig.refresh_from_db()
    made = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    [row] = SongSetting.objects.filter(rig=made)
    assert row.control is not None
    assert (row.control.rig_id, row.value) == (made.pk, "4:00")
    assert row.control_id != world.control.pk


def test_in_words(world: World, song: Song) -> None:
    added = world.record(add(world, song))
    [row] = SongSetting.objects.all()
    changed = world.record(Set(str(row.pk), "song_setting", {"value": "1:00"}))
    gone = world.record(
        Retire(str(row.pk), "song_setting"),
        difference(world.rig, song, "input", world.input, "off"),
        difference(world.rig, song, "cue", value="pedal on"),
    )
    lines = []
    for revision in (added, changed, gone):
        assert revision is not None
        lines += [line.sentence for line in describe(world.rig, revision.changes.all())]
    assert sorted(lines) == sorted(
        [
            "“Alder Ebb”, Head, Gain: as usual → 4:00",
            "“Alder Ebb”, Head, Gain: 4:00 → 1:00",
            "“Alder Ebb”, Head, Gain: 1:00 → as usual",
            "“Alder Ebb”, 7 Bass mic: as usual → not used",
            "“Alder Ebb”, cue: nothing → pedal on",
        ]
    )


def test_the_view_sets_it_beside_what_is_usual(world: World, song: Song) -> None:
    world.record(add(world, song))
    world.rig.refresh_from_db()
    [shown] = snapshot_view(world.rig, live(world.rig)).songs
    [each] = shown.controls
    assert (shown.title, each.unit_name, each.name) == ("Alder Ebb", "Head", "Gain")
    assert (each.text, each.usual) == ("4:00", "2:30")
    # 4 o'clock is 120° on the hour hand's scale, half past two 75°.
    assert each.control is not None
    assert (each.control.angle, each.control.was_angle) == (120, 75)
    assert set_views({world.rig: live(world.rig)})[world.rig].songs == (shown,)
