"""Clips over the API: list, one, bring."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from core.models import Song
from notes.models import Clip, StoredSound
from tests.support.api import api, ids
from tests.support.sounds import bring_clip, wav
from tests.support.world import World, make_world


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def url(world: World, query: str = "") -> str:
    return f"/api/v1/productions/{world.production.pk}/clips/{query}"


def send(world: World, data: bytes, role: str = "tech", **more: Any) -> Any:
    fields = {"rig": str(world.rig.pk), "input": str(world.input.pk)} | more
    fields["file"] = SimpleUploadedFile("take.wav", data)
    return api(world.people[role]).post(url(world), fields, format="multipart")


def test_a_clip_is_brought(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Sedge Hour")
    response = send(
        world,
        wav(2, channels=3),
        song=str(song.pk),
        left=2,
        starts_s="0.5",
        seconds="1",
        revision=1,
        title="Second microphone",
    )
    assert response.status_code == 201, response.json()
    clip = response.json()
    assert (clip["name"], clip["left"], clip["right"]) == ("Second microphone", 2, None)
    assert (clip["starts_s"], clip["seconds"], clip["revision"]) == ("0.5", "1", 1)
    assert clip["sound"]["channels"] == 3
    assert clip["figures"]["integrated"] == pytest.approx(-21.8, abs=0.2)  # 6 dB below −15.75
    assert clip["song"] == str(song.pk)
    one = api(world.people["crew"]).get(f"/api/v1/clips/{clip['id']}/")
    assert one.json() == clip


@pytest.mark.parametrize(
    ("more", "status", "field"),
    [
        ({"left": 5}, 422, "left"),
        ({"revision": 99}, 422, "revision"),
        ({"input": ""}, 400, "input"),
        ({"starts_s": "9"}, 422, "starts_s"),
        ({"song": "5f0e1d52-0c0b-4f2a-9d8e-7b1a2c3d4e5f"}, 400, "song"),
    ],
)
def test_what_cannot_be_is_named(
    world: World, more: dict[str, Any], status: int, field: str
) -> None:
    response = send(world, wav(1), **more)
    assert response.status_code == status
    assert field in response.json()["fields"]
    assert not StoredSound.objects.exists()


def test_no_sound_is_refused_in_words(world: World) -> None:
    response = send(world, b"%PDF-1.7")
    assert response.status_code == 422
    assert "a PDF" in response.json()["fields"]["file"][0]


def test_who_may_bring_and_who_may_read(world: World) -> None:
    assert send(world, wav(0.5), role="crew").status_code == 403
    clip = bring_clip(world)
    assert ids(api(world.people["manager"]).get(url(world))) == [str(clip.pk)]
    other = make_world("Another")
    assert api(other.tech).get(f"/api/v1/clips/{clip.pk}/").status_code == 404
    assert api(other.tech).get(url(world)).status_code == 404


def test_the_list_is_narrowed_and_leaves_out_what_was_put_away(world: World) -> None:
    clip, gone = bring_clip(world), bring_clip(world, wav(2), title="Gone")
    gone.retire()
    listed = api(world.tech).get(url(world, f"?input={world.input.pk}"))
    assert ids(listed) == [str(clip.pk)]
    song = Song.objects.create(production=world.production, title="Sedge Hour")
    assert ids(api(world.tech).get(url(world, f"?song={song.pk}"))) == []
    assert Clip.objects.count() == 2


def sound(
    world: World, clip: Clip, copy: str = "original", role: str = "crew", **headers: str
) -> Any:
    return api(world.people[role]).get(
        f"/api/v1/clips/{clip.pk}/sound/{copy}/",
        headers={name.replace("_", "-"): value for name, value in headers.items()},
    )


def test_the_sound_is_fetched_whole_and_in_parts(world: World) -> None:
    """RFC 9110, section 14, as the pages' own address (tests/notes/clips/test_sound_view.py)."""
    data = wav(0.5)
    clip = bring_clip(world, data)
    whole = sound(world, clip, accept="audio/wav")
    assert (whole.status_code, b"".join(whole.streaming_content)) == (200, data)
    assert whole["Content-Type"] == "audio/wav"
    part = sound(world, clip, range="bytes=-9")
    assert (part.status_code, b"".join(part.streaming_content)) == (206, data[-9:])
    assert sound(world, clip, range=f"bytes={len(data)}-").status_code == 416
    small = sound(world, clip, "preview")
    assert b"ftyp" in b"".join(small.streaming_content)[:12]


def test_the_sound_is_for_members_and_only_what_there_is(world: World) -> None:
    clip = bring_clip(world)
    missing = sound(world, clip, "other", accept="audio/*")
    assert (missing.status_code, missing.json()["code"]) == (404, "not_found")
    other = make_world("Another")
    stranger = api(other.tech).get(f"/api/v1/clips/{clip.pk}/sound/original/")
    assert stranger.status_code == 404
    assert "clips/{clip}/sound" in str(api(world.tech).get("/api/v1/schema/?format=json").json())


def test_the_same_file_twice_is_one_sound_and_one_clip(world: World) -> None:
    first, second = (send(world, wav(1)) for _ in range(2))
    assert (first.status_code, second.status_code) == (201, 200)
    assert first.json()["id"] == second.json()["id"]
    assert first.json()["sound"] == second.json()["sound"]
    assert (StoredSound.objects.count(), Clip.objects.count()) == (1, 1)


def test_figures_of_an_older_method_are_not_handed_out(world: World) -> None:
    clip = bring_clip(world)
    Clip.objects.update(method="BS.1770/0", figures={})
    got = api(world.tech).get(f"/api/v1/clips/{clip.pk}/").json()
    assert (got["method"], got["figures"]) == (clip.method, clip.figures)
