"""The page of a clip against the signed sound: what it proposes, refuses, and writes down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from scipy.signal import butter, sosfilt

from core import clock
from notes.comparing.evidence import tie_to_alternative
from notes.models import Clip, Note
from notes.signing.services import sign
from notes.trials.services import add_alternative, open_trial
from rigs.changes.edits import Set
from tests.support.api import api
from tests.support.captures import RATE, make_pair
from tests.support.clips_side_by_side import clip_of
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def _client(world: World) -> Client:
    client = Client()
    client.force_login(world.engineer)
    return client


def _address(world: World, clip: Clip) -> str:
    return reverse("notes:clip_changed", args=[world.production.pk, clip.pk])


def _signed_and_tonight(world: World, takes: int = 0) -> tuple[Clip, Clip]:
    for seed in range(takes):
        clip_of(world, 0.3 * make_pair("driven_guitar", 10 + seed).first, f"Take {seed}")
    sound = 0.3 * make_pair("driven_guitar", 1).first[: 3 * RATE]
    after = np.asarray(sosfilt(butter(2, 250, "high", fs=RATE, output="sos"), sound))
    signed = clip_of(world, sound, "Signed")
    world.rig.refresh_from_db()
    sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        revision=world.rig.head_number,
        user=world.engineer,
        clip=signed,
    )
    return signed, clip_of(world, after, "Tonight")


def test_it_proposes_and_what_is_taken_up_becomes_a_note(world: World) -> None:
    signed, tonight = _signed_and_tonight(world)
    client = _client(world)
    page = client.get(_address(world, tonight)).content.decode()
    assert "High-pass: in, at" in page
    assert "dB less at" in page
    assert "Both hold one performance" in page
    assert (
        "This is the clip that was signed." in client.get(_address(world, signed)).content.decode()
    )
    # Equally loud, on the same page.
    assert "data-side-by-side" in page
    assert page.count("data-pick") == 2
    client.post(_address(world, tonight), {"cause": "high_pass"})
    note = Note.objects.get(reading__contains="High-pass")
    assert list(note.inputs.all()) == [world.input]
    before = Note.objects.count()
    client.post(_address(world, tonight), {"cause": "nonsense"})
    assert Note.objects.count() == before


def test_without_a_signed_clip_it_says_what_is_missing(world: World) -> None:
    clip = clip_of(world, 0.3 * make_pair("drum", 2).first[:RATE], "Alone")
    page = _client(world).get(_address(world, clip)).content.decode()
    assert "No clip of this input was signed" in page
    answer = api(world.engineer).get(f"/api/v1/clips/{clip.pk}/changed/")
    assert answer.status_code == 422


def test_the_same_over_the_api(world: World) -> None:
    signed, tonight = _signed_and_tonight(world)
    told = api(world.engineer).get(f"/api/v1/clips/{tonight.pk}/changed/").json()
    assert told["signed"] == str(signed.pk)
    assert told["one_performance"] is True
    assert told["causes"][0]["key"] == "high_pass"
    assert len(told["change_db"]) == len(told["bands_hz"]) == len(told["scatter_db"])


def test_takes_of_the_signed_sound_measure_the_scatter_and_cost_no_queries(
    world: World,
) -> None:
    _signed_and_tonight(world, takes=3)
    other = clip_of(world, 0.3 * make_pair("driven_guitar", 5).first, "Other playing")
    client = _client(world)
    page = client.get(_address(world, other)).content.decode()
    assert "measured on 4 clips of the signed sound" in page
    with CaptureQueriesContext(connection) as many:
        client.get(_address(world, other))
    Clip.objects.filter(name="Take 2").update(retired_at=clock.now())
    with CaptureQueriesContext(connection) as fewer:
        client.get(_address(world, other))
    assert len(many) == len(fewer)


def test_clips_from_after_the_signature_are_no_takes_of_it(world: World) -> None:
    _signed_and_tonight(world)
    for seed in range(3):
        clip = clip_of(world, 0.3 * make_pair("driven_guitar", 10 + seed).first, f"Later {seed}")
    page = _client(world).get(_address(world, clip)).content.decode()
    assert "clips of the signed sound" not in page


def test_changes_from_the_signature_to_the_clip_stand_on_one_time_line(world: World) -> None:
    _signed_and_tonight(world)
    world.record(Set(str(world.input.pk), "input", {"high_pass_hz": 250}))
    sound = 0.3 * make_pair("driven_guitar", 1).first[: 3 * RATE]
    after = np.asarray(sosfilt(butter(2, 250, "high", fs=RATE, output="sos"), sound))
    tonight = clip_of(world, 0.9 * after, "Later that night")
    # Nobody can hear on a clip what was changed after it.
    world.record(Set(str(world.input.pk), "input", {"gain_db": "33"}))
    page = _client(world).get(_address(world, tonight)).content.decode()
    assert "The history has a change that fits" in page
    line = page[page.index("From the signature to this clip") :]
    assert line.index("Signed</b>") < line.index("250 Hz") < line.index("This clip</b>")
    assert "Could be: High-pass" in " ".join(line.split())
    assert "33 dB" not in line
    told = api(world.engineer).get(f"/api/v1/clips/{tonight.pk}/changed/").json()
    assert [each["could_be"] for each in told["since"]] == [["High-pass"]]


def test_clips_of_the_documented_microphone_are_no_takes_of_an_alternative(world: World) -> None:
    signed, tonight = _signed_and_tonight(world, takes=3)
    trial = open_trial(input=world.input, question="Less boom?", by=world.engineer)
    other = add_alternative(trial=trial, device=world.other_mic, placement={})
    tie_to_alternative(alternative=other, clip=signed, by=world.engineer)
    other_playing = clip_of(world, 0.3 * make_pair("driven_guitar", 5).first, "Other playing")
    page = _client(world).get(_address(world, other_playing)).content.decode()
    assert "clips of the signed sound" not in page
    assert tonight.input_id == signed.input_id
