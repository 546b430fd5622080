"""Sign-off pages say from how many clips the scatter of a signed sound comes, and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from notes.causes.enough import NO_CLIP, NO_CLIP_YET, before_signing, panel, told_from
from notes.causes.hearing import Heard
from notes.causes.kept import keep
from notes.causes.scatter import Scatter
from notes.models import Clip, SignOff
from notes.signing.requests import ask
from notes.signing.services import sign
from tests.notes.clips.test_clip_pages import words_of
from tests.support.sounds import bring_clip, wav
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def clips(world: World, count: int, seconds: float = 1.0) -> list[Clip]:
    return [
        bring_clip(world, wav(seconds, hz=200.0 + number), title=f"Take {number + 1}")
        for number in range(count)
    ]


def signed(world: World, clip: Clip | None = None) -> SignOff:
    world.rig.refresh_from_db()
    return sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        revision=world.rig.head_number,
        user=world.engineer,
        clip=clip,
    )


def page(world: World, client: Client) -> str:
    client.force_login(world.engineer)
    return words_of(client.get(reverse("notes:sign", args=[world.production.pk, world.rig.pk])))


def test_a_signature_without_a_clip_says_so(world: World, client: Client) -> None:
    signed(world)
    shown = page(world, client)
    assert str(NO_CLIP) in shown
    assert "Of the rig as it is now there is no clip." in shown


def test_too_few_clips_say_what_to_do(world: World, client: Client) -> None:
    (clip,) = clips(world, 1)
    signed(world, clip)
    shown = page(world, client)
    assert "Only “Take 1” of it is here. How takes scatter is assumed." in shown
    assert "Record 2 more clips of the same input with nothing changed" in shown
    assert f"{world.input.name}: 1 clip of the rig as it is." in shown


def test_pieces_of_a_longer_one_stand_in(world: World, client: Client) -> None:
    (clip,) = clips(world, 1, seconds=6.5)
    signed(world, clip)
    assert "Pieces of it stand in for takes" in page(world, client)


def test_three_clips_are_enough(world: World, client: Client) -> None:
    *_, clip = clips(world, 3)
    signed(world, clip)
    shown = page(world, client)
    assert "3 clips of it are here." in shown
    assert f"{world.input.name}: 3 clips of the rig as it is." in shown
    assert "Record" not in shown


def test_a_clip_of_another_state_of_the_rig_does_not_count(world: World, client: Client) -> None:
    clips(world, 2)
    world.turn("3:00")
    clip = bring_clip(world, wav(1, hz=300), title="After")
    signed(world, clip)
    shown = page(world, client)
    assert "Only “After” of it is here." in shown
    assert f"{world.input.name}: 1 clip of the rig as it is." in shown


def scatter(band: float, takes: int, *, pieces: bool = False) -> Scatter:
    return Scatter(np.full(25, band), 0.8, np.ones(5), takes, pieces)


def test_what_is_on_record_is_told(world: World, client: Client) -> None:
    taken = clips(world, 3)
    sign_off = signed(world, taken[0])
    sound = Heard(np.zeros(25), np.ones(25), np.zeros(5), 1.0, np.eye(25), np.zeros((3, 25)))
    keep(sign_off, taken, sound, scatter(1.5, 3))
    shown = page(world, client)
    assert "scatter is measured on 3 clips of the signed sound." in shown
    assert "a third of an octave moves by 1.5 dB, and the level by 0.8 dB" in shown
    keep(sign_off, taken[:1], sound, scatter(0.5, 4, pieces=True))
    shown = page(world, client)
    assert "scatter is measured on 4 pieces of one clip." in shown
    assert "Pieces scatter less than takes do." in shown


def test_the_least_that_is_told() -> None:
    """Worked by hand: one more take against the mean of three has variance 1.5² · (1 + 1/3) = 3,
    so 95 % lie within 2 · √3 = 3.5 dB; nothing below a decibel is told whatever scatters."""
    assert "less than about 3 dB in a band" in told_from(scatter(1.5, 3))
    assert "less than about 7 dB in a band" in told_from(scatter(3.0, 3))
    assert "less than about 1 dB in a band" in told_from(scatter(0.1, 6))


def link_page(world: World, clip: Clip | None) -> str:
    """As the player sees it, who has no account."""
    world.rig.refresh_from_db()
    made = ask(
        rig=world.rig,
        revision=world.rig.head_number,
        by=world.engineer,
        clip=clip,
        address=lambda token: token,
    )
    return words_of(Client().get(reverse("notes:signature", args=[made.url])))


def test_a_link_without_a_clip_says_what_cannot_be_told_later(world: World) -> None:
    shown = link_page(world, None)
    assert "What a later comparison can tell" in shown
    assert str(NO_CLIP_YET) in shown


def test_a_link_with_one_clip_says_how_many_are_missing(world: World) -> None:
    (clip,) = clips(world, 1)
    shown = link_page(world, clip)
    assert "Only “Take 1” of it is here. How takes scatter is assumed." in shown
    assert "less than about" in shown
    assert "Record 2 more clips of the same input with nothing changed" in shown


def test_a_link_with_three_clips_says_that_they_are_enough(world: World) -> None:
    *_, clip = clips(world, 3)
    shown = link_page(world, clip)
    assert "3 clips of it are here." in shown
    assert "Record" not in shown


def test_the_words_of_a_link_take_two_queries(
    world: World, django_assert_max_num_queries: Any
) -> None:
    *_, clip = clips(world, 5)
    with django_assert_max_num_queries(2):
        before_signing(clip)


def test_a_fixed_number_of_queries(world: World, django_assert_max_num_queries: Any) -> None:
    sign_offs = [signed(world, clip) for clip in clips(world, 3)]
    with django_assert_max_num_queries(2 + 3 * len(sign_offs)):
        panel(world.rig, sign_offs)
    with django_assert_max_num_queries(2):
        panel(world.rig, [])
