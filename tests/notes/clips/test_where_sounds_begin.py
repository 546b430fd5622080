"""A known shift of 3.00 ms through real encoders: measured where the file states what its encoder
put before the sound, refused where it does not."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from notes.captures.measure import measure
from notes.clips.relation import relation_of
from notes.clips.storage import path_of
from notes.comparing.sides import side_by_side
from notes.models import StoredSound
from rigs.changes.edits import Add
from rigs.models import Input
from tests.support.captures import Sound, make_pair
from tests.support.packings import RATE, packed, with_delay_of_none, without_encoder_figures
from tests.support.sounds import as_file, bring_clip
from tests.support.world import World, make_device

SHIFT_S = 0.003
Packing = Callable[[Sound], bytes]
KNOWN: dict[str, Packing] = {
    "wav": as_file,
    "flac": lambda sound: packed(sound, "flac", "flac"),
    "alac in m4a": lambda sound: packed(sound, "mp4", "alac"),
    "ogg vorbis": lambda sound: as_file(sound, format="OGG", subtype="VORBIS"),
    "ogg opus": lambda sound: packed(sound, "ogg", "libopus"),
    "webm opus": lambda sound: packed(sound, "webm", "libopus"),
    "m4a with its edit list": lambda sound: packed(sound, "mp4", "aac"),
    "mp3 with its tag": lambda sound: packed(sound, "mp3", "libmp3lame"),
    "mp3 in mp4": lambda sound: packed(sound, "mp4", "libmp3lame"),
}
UNKNOWN: dict[str, Packing] = {
    "raw aac": lambda sound: packed(sound, "adts", "aac"),
    "m4a without edit list": lambda sound: packed(sound, "mp4", "aac", {"use_editlist": "0"}),
    "m4a in fragments": lambda sound: packed(
        sound, "mp4", "aac", {"movflags": "frag_keyframe+empty_moov"}
    ),
    "mp3 without tag": lambda sound: packed(sound, "mp3", "libmp3lame", {"write_xing": "0"}),
    "mp3 with half a tag": lambda sound: without_encoder_figures(
        packed(sound, "mp3", "libmp3lame")
    ),
    "mp3 whose tag says 0": lambda sound: with_delay_of_none(packed(sound, "mp3", "libmp3lame")),
}
PLAYED = make_pair("drum", 11, clean=True, delay_s=SHIFT_S, polarity=1)
FIRST, SECOND = PLAYED.first[: 3 * RATE], PLAYED.second[: 3 * RATE]


@pytest.fixture
def di(world: World) -> Input:
    cache.clear()
    box = make_device(world.production, "Plain DI", form="di", principle="di_passive", pattern="")
    key = uuid4()
    fields = {"number": 8, "name": "Bass DI", "unit": str(world.unit.pk), "device": str(box.pk)}
    world.record(Add(str(key), "input", fields))
    return Input.objects.get(pk=key)


@pytest.mark.parametrize("name", KNOWN)
def test_what_is_stated_is_taken_off(world: World, di: Input, name: str) -> None:
    first = bring_clip(world, as_file(FIRST), input=di)
    found = measure(first, bring_clip(world, KNOWN[name](SECOND)))
    assert found.is_certain
    assert found.delay_s == pytest.approx(SHIFT_S, abs=2e-5)
    assert found.relation.remark == ""


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_nothing_states_is_refused(world: World, di: Input, name: str) -> None:
    first = bring_clip(world, as_file(FIRST), input=di)
    second = bring_clip(world, UNKNOWN[name](SECOND), title="Packed", name="packed")
    found = measure(first, second)
    # It would have been sure, and wrong by more than ten milliseconds.
    assert found.relation.best is not None
    assert found.relation.best.is_certain
    assert abs(found.relation.best.delay_s - SHIFT_S) > 0.01
    assert not found.is_certain
    assert "“packed” is packed with loss and does not say by how much" in found.words
    assert "in WAV or FLAC" in found.words
    beside = side_by_side([bring_clip(world, as_file(FIRST)), second])
    assert any("“packed” is packed with loss" in words for words in beside.caveats)
    assert " ms" not in beside.others[0].when_words
    assert beside.others[0].is_aligned  # by what is heard, whatever put it there


def test_two_that_are_packed_alike_are_late_alike(world: World, di: Input) -> None:
    pack = UNKNOWN["raw aac"]
    found = measure(bring_clip(world, pack(FIRST), input=di), bring_clip(world, pack(SECOND)))
    assert found.delay_s == pytest.approx(SHIFT_S, abs=2e-5)
    assert "one device packed both" in found.relation.remark


def test_two_that_are_packed_in_two_ways_are_refused(world: World, di: Input) -> None:
    first = bring_clip(world, UNKNOWN["raw aac"](FIRST), input=di, name="one")
    second = bring_clip(world, UNKNOWN["mp3 without tag"](SECOND), name="other")
    assert "“one” and “other” are packed with loss and do not say" in measure(first, second).words


def test_the_pages_say_so(client: Client, world: World, di: Input) -> None:
    first = bring_clip(world, as_file(FIRST), input=di)
    second = bring_clip(world, UNKNOWN["raw aac"](SECOND))
    client.force_login(world.engineer)
    text = client.get(second.get_absolute_url()).content.decode()
    assert "does not say how much" in text
    assert "Its encoder" not in client.get(first.get_absolute_url()).content.decode()
    address = reverse("notes:captures", args=[world.production.pk])
    text = client.get(address, {"first": first.pk, "second": second.pk}).content.decode()
    assert "packed with loss and does not say by how much that delays it" in text


def test_sounds_of_before_are_looked_at_once(world: World, di: Input) -> None:
    first = bring_clip(world, as_file(FIRST), input=di)
    second = bring_clip(world, UNKNOWN["raw aac"](SECOND))
    stated = bring_clip(world, KNOWN["mp3 with its tag"](SECOND))
    StoredSound.objects.update(beginning="")
    for clip in (first, second, stated):
        clip.sound.refresh_from_db()
    assert relation_of(first, second).packing is not None
    assert relation_of(first, stated).packing is None
    assert [each.sound.beginning for each in (first, second, stated)] == [
        "exact",
        "unknown",
        "stated",
    ]
    StoredSound.objects.update(beginning="")
    call_command("measure_clips")
    assert set(StoredSound.objects.values_list("beginning", flat=True)) == {
        "exact",
        "unknown",
        "stated",
    }


def test_of_a_lost_original_nothing_is_known(world: World, di: Input) -> None:
    first = bring_clip(world, as_file(FIRST), input=di)
    second = bring_clip(world, KNOWN["mp3 with its tag"](SECOND))
    StoredSound.objects.update(beginning="")
    for clip in (first, second):
        clip.sound.refresh_from_db()
    default_storage.delete(path_of(second.sound.sha256))
    assert relation_of(first, second).packing is not None
