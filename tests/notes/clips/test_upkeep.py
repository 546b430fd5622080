"""Measuring again by a newer method, forgetting unused sounds, and what verify says of files."""

from __future__ import annotations

import os
import time
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.test import Client

from core import clock
from notes.clips.measure import METHOD
from notes.clips.storage import path_of
from notes.clips.uploads import on_disk, receive
from notes.models import Clip, StoredSound
from notes.signing.services import sign
from notes.signing.verify import broken_sign_offs
from tests.support.sounds import as_file, bring_clip, tone, wav
from tests.support.world import World, make_world


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def run(command: str) -> str:
    out = StringIO()
    call_command(command, stdout=out, stderr=out)
    return out.getvalue()


def age(sha256: str, days: float) -> None:
    then = time.time() - days * 86_400
    os.utime(default_storage.path(path_of(sha256)), (then, then))


def test_only_older_methods_are_measured_again(world: World) -> None:
    old, new = bring_clip(world), bring_clip(world, as_file(tone(1, hz=200)))
    meant = old.figures
    Clip.objects.filter(pk=old.pk).update(method="BS.1770/0", figures={})
    assert "1 clips measured" in run("measure_clips")
    old.refresh_from_db()
    new.refresh_from_db()
    assert (old.figures, old.method, old.version) == (meant, METHOD, 1)
    assert "0 clips measured" in run("measure_clips")


def test_what_was_signed_keeps_what_it_said_beside_the_new_figures(
    world: World, client: Client
) -> None:
    signed, other = bring_clip(world), bring_clip(world, as_file(tone(1, hz=200)))
    old = signed.figures | {"integrated": -33.3}
    Clip.objects.update(method="BS.1770/1 peaks/1 bands/1", figures=old)
    sign(rig=world.rig, party="tech", decision="signed", revision=1, user=world.tech, clip=signed)
    run("measure_clips")
    sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        revision=1,
        user=world.engineer,
        clip=signed,
    )
    signed.refresh_from_db()
    other.refresh_from_db()
    assert signed.method == METHOD
    assert signed.figures["integrated"] > -30
    [kept] = signed.earlier_figures
    assert (kept["method"], kept["figures"]) == ("BS.1770/1 peaks/1 bands/1", old)
    assert other.earlier_figures == []
    client.force_login(world.engineer)
    page = client.get(signed.get_absolute_url()).content.decode()
    assert page.count("measured by an older method") == 1  # the second signed the new ones
    assert "−33.3 LUFS" in page
    assert (
        "measured by an older method" not in client.get(other.get_absolute_url()).content.decode()
    )
    assert list(broken_sign_offs()) == []


def test_clipping_and_an_offset_are_remarked(world: World, client: Client) -> None:
    """A square at full scale, 100 Hz for half a second: 100 tops; 5 % added to a tone."""
    square = np.where(np.arange(24_000) % 480 < 240, 1.0, -1.0)
    client.force_login(world.engineer)
    page = client.get(bring_clip(world, as_file(square)).get_absolute_url()).content.decode()
    assert "It stands at full scale in 100 places" in page
    assert "500 ms in all" in page
    assert "DC offset" not in page
    off = client.get(bring_clip(world, as_file(tone() + 0.05)).get_absolute_url())
    assert "It lies off centre by 5.0 % of full scale (DC offset)" in off.content.decode()


def test_a_missing_file_is_named_and_stops_nothing(world: World) -> None:
    lost, there = bring_clip(world), bring_clip(world, as_file(tone(1, hz=200)))
    Clip.objects.update(method="BS.1770/0")
    default_storage.delete(path_of(lost.working))
    said = run("measure_clips")
    assert f"{lost.pk}): The sound “{lost}” cannot be read: the file is missing." in said
    assert "1 clips measured" in said
    assert there.figures["integrated"] is not None


def test_unused_sounds_go_after_a_day_with_their_files(world: World) -> None:
    used = bring_clip(world)
    with on_disk(data=wav(0.3)) as path:
        waiting = receive(path, name="a.wav", production=world.production, by=world.tech)
    assert "0 sounds" in run("drop_unused")
    StoredSound.objects.update(brought_at=clock.now() - timedelta(days=2))
    for sha256 in (waiting.sha256, used.sound.sha256, used.working, used.preview):
        age(sha256, 2)
    assert "2 sounds and their files" in run("drop_unused")
    assert list(StoredSound.objects.all()) == [used.sound]
    assert not default_storage.exists(path_of(waiting.sha256))
    assert default_storage.exists(path_of(used.sound.sha256))
    assert "Everything is as it was written" in run("verify")


def test_a_file_that_another_production_names_stays(world: World) -> None:
    other = make_world("Another")
    bring_clip(other, wav(0.3))
    with on_disk(data=wav(0.3)) as path:
        sound = receive(path, name="a.wav", production=world.production, by=world.tech)
    StoredSound.objects.filter(pk=sound.pk).update(brought_at=clock.now() - timedelta(days=2))
    age(sound.sha256, 2)
    assert "1 sounds and their files" in run("drop_unused")
    assert default_storage.exists(path_of(sound.sha256))


def test_verify_names_a_changed_sound(world: World) -> None:
    clip = bring_clip(world)
    Path(default_storage.path(path_of(clip.preview))).write_bytes(b"something else")
    with pytest.raises(CommandError, match="the file is not what was stored"):
        run("verify")
