"""A signature under a sound: sealed with it, and played to whoever holds the link."""

from __future__ import annotations

import hashlib
import io
from typing import Any

import numpy as np
import pytest
import soundfile
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from notes.clips.storage import open_copy
from notes.models import Clip, SignOff
from notes.signing.requests import ask, withdraw
from notes.signing.seal import content_of, seal_of
from notes.signing.services import sign
from notes.signing.verify import broken_sign_offs
from tests.support.clips_side_by_side import clip_of, noise, two_clips
from tests.support.world import World, make_world


@pytest.fixture
def clip(world: World) -> Clip:
    return clip_of(world, noise(0.5), "As it should sound")


def token(world: World, clip: Clip | None) -> str:
    world.rig.refresh_from_db()
    return ask(
        rig=world.rig,
        revision=world.rig.head_number,
        by=world.engineer,
        address=lambda token: token,
        clip=clip,
    ).url


def sound(token: str) -> str:
    return reverse("notes:signature_sound", args=[token])


def body(response: Any) -> bytes:
    return b"".join(response.streaming_content)


def test_a_seal_without_a_clip_says_what_it_said_before_there_were_clips(world: World) -> None:
    made = sign(rig=world.rig, party="tech", decision="signed", revision=1, user=world.tech)
    assert "clip" not in content_of(made)
    assert seal_of(made) == made.seal


def test_the_seal_covers_the_sound(world: World, clip: Clip) -> None:
    made = sign(
        rig=world.rig, party="tech", decision="signed", revision=1, user=world.tech, clip=clip
    )
    assert content_of(made)["clip"] == {"id": str(clip.pk), "sound": clip.working}
    assert list(broken_sign_offs()) == []
    Clip.objects.filter(pk=clip.pk).update(working="0" * 64)
    assert "its seal does not match" in "".join(broken_sign_offs())


def test_a_clip_of_another_rig_is_refused(world: World) -> None:
    other = clip_of(make_world("Elsewhere"), noise(0.5), "Theirs")
    with pytest.raises(ValidationError, match="another rig"):
        sign(
            rig=world.rig, party="tech", decision="signed", revision=1, user=world.tech, clip=other
        )
    with pytest.raises(ValidationError, match="another rig"):
        token(world, other)


def test_the_phone_plays_it_and_signs_it(world: World, clip: Clip) -> None:
    link = token(world, clip)
    page = Client().get(reverse("notes:signature", args=[link])).content.decode()
    assert f'src="{sound(link)}"' in page
    assert "As it should sound" in page
    got = Client().get(sound(link))
    file, kind, size = open_copy(clip, "preview")
    assert (got.status_code, got["Content-Type"], len(body(got))) == (200, kind, size)
    assert "no-store" in got["Cache-Control"]
    part = Client().get(sound(link), headers={"Range": "bytes=0-9"})
    with file:
        assert (part.status_code, body(part)) == (206, file.read(10))
    Client().post(reverse("notes:signature", args=[link]), {"decision": "signed", "words": ""})
    assert SignOff.objects.get().clip == clip


def instead(token: str) -> str:
    return reverse("notes:signature_instead", args=[token])


def test_a_phone_without_a_decoder_of_aac_plays_the_clip_itself(world: World, clip: Clip) -> None:
    link = token(world, clip)
    page = Client().get(reverse("notes:signature", args=[link])).content.decode()
    assert page.index(f'src="{sound(link)}"') < page.index(f'src="{instead(link)}"')
    got = Client().get(instead(link))
    assert (got["Content-Type"], hashlib.sha256(body(got)).hexdigest()) == (
        "audio/flac",
        clip.working,
    )
    withdraw(rig=world.rig)
    assert Client().get(instead(link)).status_code == 404


def test_the_sound_closes_with_the_link(world: World, clip: Clip) -> None:
    link = token(world, clip)
    withdraw(rig=world.rig)
    assert Client().get(sound(link)).status_code == 404
    link = token(world, clip)
    Client().post(reverse("notes:signature", args=[link]), {"decision": "signed", "words": ""})
    assert Client().get(sound(link)).status_code == 404
    assert Client().get(sound("no-such-token")).status_code == 404


def test_the_link_opens_no_other_clip(world: World, clip: Clip) -> None:
    assert Client().get(sound(token(world, None))).status_code == 404
    link = token(world, clip)
    inside = reverse("notes:clip_sound", args=[world.production.pk, clip.pk, "preview"])
    assert Client().get(inside).status_code == 302  # to the log-in
    assert Client().get(sound(link)).status_code == 200


def test_members_choose_it_where_they_ask_and_where_they_sign(world: World, clip: Clip) -> None:
    client = Client()
    client.force_login(world.engineer)
    place = [world.production.pk, world.rig.pk]
    sent = {"revision": 1, "clip": clip.pk}
    asked = client.post(reverse("notes:ask_signature", args=place), sent)
    assert asked.context["asked"].request.clip == clip
    said = {"decision": "signed", "party": "engineer", "revision": 1, "clip": clip.pk}
    assert client.post(reverse("notes:sign", args=place), said).status_code == 302
    assert SignOff.objects.get().clip == clip
    assert "As it should sound" in client.get(world.rig.get_absolute_url()).content.decode()


def test_what_was_signed_before_is_heard_beside_it_equally_loud(world: World) -> None:
    """The second is made at half the amplitude, 6.02 dB less (20 lg 2); played, they are alike."""
    loud, quiet = two_clips(world)
    sign(
        rig=world.rig,
        party="player",
        decision="signed",
        revision=1,
        player=world.player,
        clip=loud,
    )
    world.turn("4:00")
    link = token(world, quiet)
    page = Client().get(reverse("notes:signature", args=[link])).content.decode()
    assert "equally loud" in page
    then, now = (
        soundfile.read(io.BytesIO(Client().get(reverse(name, args=[link])).getvalue()))[0]
        for name in ("notes:signature_then", "notes:signature_now")
    )
    assert np.std(then) == pytest.approx(np.std(now), rel=0.05)
    withdraw(rig=world.rig)
    for name in ("notes:signature_then", "notes:signature_now"):
        assert Client().get(reverse(name, args=[link])).status_code == 404


def test_without_an_earlier_sound_nothing_stands_beside(world: World, clip: Clip) -> None:
    link = token(world, clip)
    page = Client().get(reverse("notes:signature", args=[link])).content.decode()
    assert "equally loud" not in page
    assert Client().get(reverse("notes:signature_then", args=[link])).status_code == 404
