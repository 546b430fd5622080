"""Known delays and polarities come back; tape and sound are set side by side; a change follows."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse
from scipy.signal import butter, sosfilt

from notes.captures.measuring import CannotMeasure, measure, predict
from notes.captures.proposing import DELAY, POLARITY, apply, proposals
from notes.models import ChangeClip, Clip, Note
from rigs.models import Input, Revision
from rigs.revisions.edits import Add
from tests.support.sounds import as_file, bring_clip, tone
from tests.support.world import World, make_device

RATE = 48_000
SPEED = 343.2  # m/s at 20 °C: ISO 9613-1


def plucks(seed: int = 3) -> np.ndarray[Any, Any]:
    """Four seconds of decaying noise bursts below 4 kHz: as broad as a struck string."""
    chance = np.random.default_rng(seed)
    at = np.arange(4 * RATE)
    noise = chance.standard_normal(len(at)) * np.exp(-(at % (RATE // 2)) / 6000)
    return 0.1 * np.asarray(sosfilt(butter(4, 4000, fs=RATE, output="sos"), noise))


def later(samples: np.ndarray[Any, Any], seconds: float) -> np.ndarray[Any, Any]:
    """Delayed by any fraction of a sample, exactly: a turn of phase in the frequency domain."""
    turned = np.fft.rfft(samples) * np.exp(
        -2j * np.pi * np.fft.rfftfreq(len(samples), 1 / RATE) * seconds
    )
    return np.fft.irfft(turned, len(samples))


@pytest.fixture
def di(world: World) -> Input:
    box = make_device(world.production, "Plain DI", form="di", principle="di_passive", pattern="")
    key = uuid4()
    fields = {"number": 8, "name": "Bass DI", "unit": str(world.unit.pk), "device": str(box.pk)}
    world.record(Add(str(key), "input", fields))
    return Input.objects.get(pk=key)


def pair(world: World, di: Input, seconds: float, sign: int = 1) -> tuple[Clip, Clip]:
    source = plucks()
    first = bring_clip(world, as_file(source), input=di, title="DI")
    second = bring_clip(world, as_file(sign * 0.6 * later(source, seconds)), title="Mic")
    return first, second


@pytest.mark.parametrize("samples", [0.0, 4.9, 48.0, 100.37, -33.5])
@pytest.mark.parametrize("sign", [1, -1])
def test_known_delays_and_polarity_come_back(
    world: World, di: Input, samples: float, sign: int
) -> None:
    found = measure(*pair(world, di, samples / RATE, sign)).found
    assert found.delay_s * RATE == pytest.approx(samples, abs=0.1)
    assert found.polarity == sign
    assert found.confidence > 0.15


def test_the_tape_says_the_distance_over_the_speed_of_sound(world: World, di: Input) -> None:
    # The world's microphone stands 35 mm away; a DI hears without delay.
    predicted, why_not = predict(di, world.input, SPEED)
    assert predicted == pytest.approx(0.035 / SPEED)
    assert why_not == ""
    assert predict(world.input, di, SPEED)[0] == pytest.approx(-0.035 / SPEED)


def test_without_the_tape_it_says_why(world: World, di: Input) -> None:
    world.input.distance_m = None
    assert predict(di, world.input, SPEED) == (None, "Bass mic has no measured distance")
    other = Input(name="Edge", device=world.mic, distance_m=Decimal("0.1"), reference_point="dome")
    world.input.distance_m = Decimal("0.1")
    assert "different points" in predict(other, world.input, SPEED)[1]


@pytest.mark.parametrize(("seconds", "agrees"), [(0.035 / SPEED, True), (0.0021, False)])
def test_sound_and_tape_agree_or_not(world: World, di: Input, seconds: float, agrees: bool) -> None:
    assert measure(*pair(world, di, seconds)).agrees is agrees


def test_what_hangs_together_too_loosely_gives_no_proposal(world: World, di: Input) -> None:
    first = bring_clip(world, as_file(plucks(1)), input=di)
    second = bring_clip(world, as_file(plucks(2)))
    measured = measure(first, second)
    assert not measured.is_sure
    assert measured.agrees is None
    assert proposals(measured) == {}
    assert "too loosely" in measured.words


def test_what_cannot_be_measured(world: World, di: Input) -> None:
    one = bring_clip(world, as_file(plucks()))
    same = bring_clip(world, as_file(plucks()))
    slow = bring_clip(world, as_file(tone(2.0, rate=44_100), 44_100), input=di)
    with pytest.raises(CannotMeasure, match="two different inputs"):
        measure(one, same)
    with pytest.raises(CannotMeasure, match="different sample rates"):
        measure(one, slow)


@pytest.mark.parametrize("what", [POLARITY, DELAY])
def test_applying_is_one_change_with_its_note_and_both_clips(
    world: World, di: Input, what: str
) -> None:
    clips = pair(world, di, 0.0021, -1)
    measured = measure(*clips)
    world.rig.refresh_from_db()
    before = Revision.objects.count()
    made = apply(measured, what, by=world.engineer, base=world.rig.head_number)
    assert Revision.objects.count() == before + 1
    note = Note.objects.get(led_to__revision=made)
    assert "2.10 ms" in note.reading
    assert {tied.clip_id for tied in ChangeClip.objects.filter(revision=made)} == {
        clip.pk for clip in clips
    }
    world.input.refresh_from_db()
    di.refresh_from_db()
    if what == POLARITY:
        assert world.input.reversed_polarity
    else:
        assert di.notes == "delay 2.10 ms"


def test_the_page_measures_and_applies(client: Client, world: World, di: Input) -> None:
    first, second = pair(world, di, 0.0021, -1)
    url = reverse("notes:captures", args=[world.production.pk])
    query = f"?first={first.pk}&second={second.pk}"
    client.force_login(world.people["crew"])
    text = client.get(url + query).content.decode()
    assert "comes 2.10 ms after" in text
    assert "Sound and tape disagree" in text
    assert "<svg" in text
    assert client.post(url + query, {"what": DELAY, "base": "2"}).status_code == 403
    client.force_login(world.engineer)
    world.rig.refresh_from_db()
    sent = {"what": DELAY, "base": str(world.rig.head_number)}
    assert client.post(url + query, sent).status_code == 302
    di.refresh_from_db()
    assert "delay 2.10 ms" in di.notes


def test_the_page_without_clips_and_with_wrong_ones(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    url = reverse("notes:captures", args=[world.production.pk])
    assert client.get(url).status_code == 200
    assert client.get(f"{url}?first=x&second=y").status_code == 404
    assert client.get(f"{url}?first={uuid4()}&second={uuid4()}").status_code == 404
    assert client.post(url, {"what": "delay"}).status_code == 302
