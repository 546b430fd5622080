"""Blind trials: sealed beforehand, nothing tells but the sound, exact odds at the end."""

from __future__ import annotations

import hashlib
import io
import json
from typing import Any

import numpy as np
import pyloudnorm
import pytest
import soundfile
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.operation.requests import HEADER
from notes.blind.services import answer, begin, close, open_blind, result_of
from notes.models import BlindAnswer, BlindSitting, BlindTrial, Clip, Trial
from tests.support.listening import open_a_trial
from tests.support.sounds import as_file, bring_clip, tone
from tests.support.world import World


@pytest.fixture
def blind(world: World) -> BlindTrial:
    trial: Trial = open_a_trial(world)
    quiet = bring_clip(world, as_file(tone(2.0, hz=440, level=0.05)), title="Hushed")
    loud = bring_clip(world, as_file(tone(2.5, hz=660, level=0.6)), title="Loud")
    return open_for(trial, quiet, loud, listeners=1)


def open_for(trial: Trial, one: Clip, other: Clip, listeners: int) -> BlindTrial:
    return open_blind(
        trial=trial,
        clip_a=one,
        clip_b=other,
        rounds=5,
        listeners=listeners,
        by=trial.opened_by,
    )


def for_more(blind: BlindTrial, listeners: int) -> BlindTrial:
    """The same two clips, for more listeners; the first one is gone."""
    made = open_for(blind.trial, blind.clip_a, blind.clip_b, listeners)
    BlindTrial.objects.filter(pk=blind.pk).delete()
    return made


def address(world: World, blind: BlindTrial, name: str, *more: Any) -> str:
    return reverse(f"notes:{name}", args=[world.production.pk, blind.pk, *more])


def fetch(
    client: Client, world: World, blind: BlindTrial, number: int, label: str, **more: Any
) -> Any:
    return client.get(address(world, blind, "blind_sound", number, label), **more)


def listen_to_the_end(sitting: BlindSitting, right: int) -> None:
    for number, drawn in enumerate(sitting.drawn, 1):
        wrong = "second" if drawn.x == "first" else "first"
        answer(
            sitting=sitting,
            number=number,
            x=drawn.x if number <= right else wrong,
            prefers="first" if drawn.first == "a" else "second",
        )


def test_nothing_but_the_sound_tells_which_is_which(
    client: Client, world: World, blind: BlindTrial
) -> None:
    client.force_login(world.engineer)
    sitting = begin(blind=blind, by=world.engineer)
    answers = {label: fetch(client, world, blind, 1, label) for label in ("first", "second", "x")}
    headers = [dict(answer.headers) for answer in answers.values()]
    # The number of a request is drawn before anything is known of the sound, anew for each.
    numbers = [each.pop(HEADER) for each in headers]
    assert len(set(numbers)) == len(numbers)
    assert all(each == headers[0] for each in headers)
    # One that is sent along comes back as it was sent.
    again = fetch(client, world, blind, 1, "x", headers={HEADER: "sent-along-1"})
    assert dict(again.headers) == headers[0] | {HEADER: "sent-along-1"}
    assert "ETag" not in headers[0]
    assert headers[0]["Cache-Control"] == "private, no-store"
    assert len({len(answer.content) for answer in answers.values()}) == 1
    text = client.get(address(world, blind, "blind_round")).content.decode()
    for clip in (blind.clip_a, blind.clip_b):
        assert str(clip.pk) not in text
        assert clip.working not in text
        assert clip.name not in text
    # X is one of the two: the same tone, however the last bit was dithered.
    tones = {label: pitch(answer.content) for label, answer in answers.items()}
    first = sitting.drawn[0]
    assert tones["x"] == pytest.approx(tones[first.x], abs=2)
    assert tones["first"] == pytest.approx(440 if first.first == "a" else 660, abs=2)
    assert tones["first"] != pytest.approx(tones["second"], abs=50)


def test_x_is_never_the_same_file_as_the_one_it_is(
    client: Client, world: World, blind: BlindTrial
) -> None:
    """The error of triangular dither has a variance of a quarter step squared whatever the sound,
    that of two of them half a step squared (S. P. Lipshitz, R. A. Wannamaker and J. Vanderkooy,
    “Quantization and Dither”, J. Audio Eng. Soc. 40, 355, 1992; cited from memory)."""
    client.force_login(world.engineer)
    x = begin(blind=blind, by=world.engineer).drawn[0].x
    bodies = [fetch(client, world, blind, 1, label).content for label in ("x", x)]
    assert bodies[0] != bodies[1]
    one, other = (soundfile.read(io.BytesIO(body), dtype="int16")[0] for body in bodies)
    apart = one.astype(int) - other
    assert np.mean(apart**2) == pytest.approx(0.5, rel=0.03)
    assert np.abs(apart).max() <= 3  # each is off by less than one and a half


def pitch(body: bytes) -> float:
    samples, rate = soundfile.read(io.BytesIO(body))
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum) * rate / len(samples))


def test_both_leave_equally_loud(client: Client, world: World, blind: BlindTrial) -> None:
    """Measured by the general-purpose library pyloudnorm, on what the listener gets."""
    begin(blind=blind, by=world.engineer)
    client.force_login(world.engineer)
    levels = []
    for label in ("first", "second"):
        body = fetch(client, world, blind, 1, label).content
        samples, rate = soundfile.read(io.BytesIO(body))
        assert np.abs(samples).max() < 10 ** (-0.9 / 20)
        levels.append(pyloudnorm.Meter(rate).integrated_loudness(samples))
    assert levels[0] == pytest.approx(levels[1], abs=0.1)


def test_stereo_against_mono_is_as_loud_as_it_is_heard(client: Client, world: World) -> None:
    """Both leave as one channel; measured by the general-purpose library pyloudnorm."""
    first, other = tone(2.0, level=0.3), tone(2.0, hz=660, level=0.3)
    clips = [
        bring_clip(world, as_file(first), title="Mono"),
        bring_clip(world, as_file(np.hstack([first, 0.2 * other])), title="Stereo"),
    ]
    made = open_blind(
        trial=open_a_trial(world),
        clip_a=clips[0],
        clip_b=clips[1],
        rounds=5,
        listeners=1,
        by=world.engineer,
    )
    begin(blind=made, by=world.engineer)
    client.force_login(world.engineer)
    levels = []
    for label in ("first", "second"):
        heard, rate = soundfile.read(io.BytesIO(fetch(client, world, made, 1, label).content))
        levels.append(pyloudnorm.Meter(rate).integrated_loudness(heard))
    assert levels[0] == pytest.approx(levels[1], abs=0.1)


def test_the_seal_is_shown_before_the_first_sound_and_can_be_worked_out_after_the_last(
    client: Client, world: World, blind: BlindTrial
) -> None:
    client.force_login(world.engineer)
    assert fetch(client, world, blind, 1, "first").status_code == 404  # nothing is drawn yet
    client.post(address(world, blind, "blind_begin"))
    before = client.get(address(world, blind, "blind_round"))
    sitting = BlindSitting.objects.get()
    assert sitting.seal in before.content.decode()
    assert sitting.nonce not in before.content.decode()
    listen_to_the_end(sitting, 5)
    from html import unescape

    text = unescape(client.get(address(world, blind, "blind")).content.decode())
    shown = text[text.index('{"nonce"') : text.index("]}") + 2]
    assert json.loads(shown)["nonce"] == sitting.nonce
    assert hashlib.sha256(shown.encode()).hexdigest() == sitting.seal


def test_the_order_cannot_be_changed_afterwards(world: World, blind: BlindTrial) -> None:
    sitting = begin(blind=blind, by=world.engineer)
    again = begin(blind=blind, by=world.engineer)
    assert again.order == sitting.order
    with pytest.raises(DatabaseError), transaction.atomic():
        BlindSitting.objects.filter(pk=sitting.pk).update(nonce="0")
    answer(sitting=sitting, number=1, x="first")
    with pytest.raises(DatabaseError), transaction.atomic():
        BlindAnswer.objects.update(x="second")


def test_verify_names_an_order_that_was_not_sealed(world: World, blind: BlindTrial) -> None:
    BlindSitting.objects.create(
        blind=blind, user=world.engineer, order=[["a", "first"]] * 5, nonce="1", seal="0" * 64
    )
    with pytest.raises(CommandError, match="not the one that was sealed"):
        call_command("verify")


def test_rounds_are_answered_one_after_the_other_and_once(world: World, blind: BlindTrial) -> None:
    sitting = begin(blind=blind, by=world.engineer)
    with pytest.raises(ValidationError, match="not the next"):
        answer(sitting=sitting, number=2, x="first")
    answer(sitting=sitting, number=1, x="first")
    answer(sitting=sitting, number=1, x="second")
    assert [each.x for each in sitting.answers.all()] == ["first"]
    with pytest.raises(ValidationError, match="which of the two"):
        answer(sitting=sitting, number=2, x="third")


def test_nothing_is_shown_before_all_have_listened_who_were_to(
    client: Client, world: World, blind: BlindTrial
) -> None:
    """Nine of ten together count three times, 3 · 11 of 1024 ways (binomial sum, Holm 1979)."""
    blind = for_more(blind, 2)
    listen_to_the_end(begin(blind=blind, by=world.tech), 5)
    client.force_login(world.engineer)

    def text() -> str:
        return client.get(address(world, blind, "blind")).content.decode()

    assert "5 of 5 right" not in text()
    sitting = begin(blind=blind, by=world.engineer)
    answer(sitting=sitting, number=1, x=sitting.drawn[0].x)
    assert "5 of 5 right" not in text()
    assert "Has answered 1 of 5 rounds." in text()
    listen_to_the_end(sitting, 4)
    assert "5 of 5 right" in text()
    assert "9 of 10 right; by guessing alone that or better happens in 1.1 % of trials" in text()
    assert "counts as 3.2 % because 3 results are judged at once" in text()


def test_whoever_is_done_sees_the_own_count_and_nothing_of_others(
    client: Client, world: World, blind: BlindTrial
) -> None:
    blind = for_more(blind, 3)
    listen_to_the_end(begin(blind=blind, by=world.tech), 5)
    listen_to_the_end(begin(blind=blind, by=world.engineer), 3)
    client.force_login(world.engineer)
    text = client.get(address(world, blind, "blind")).content.decode()
    assert "Listened to the end: 3 of 5 right." in text
    assert "5 of 5 right" not in text
    assert "Together:" not in text
    assert "difference was heard:" not in text
    assert "1 place left" in text


def test_no_more_listen_than_were_to(client: Client, world: World, blind: BlindTrial) -> None:
    begin(blind=blind, by=world.tech)
    with pytest.raises(ValidationError, match="As many have begun"):
        begin(blind=blind, by=world.engineer)
    client.force_login(world.engineer)
    text = client.get(address(world, blind, "blind")).content.decode()
    assert "As many have begun as were to listen." in text
    assert address(world, blind, "blind_begin") not in text


def test_who_stops_stays_on_record(client: Client, world: World, blind: BlindTrial) -> None:
    """Five of five come in one of 32 ways; of three who were to listen it counts four times."""
    blind = for_more(blind, 3)
    sitting = begin(blind=blind, by=world.engineer)
    for number in (1, 2):
        answer(sitting=sitting, number=number, x="first")
    listen_to_the_end(begin(blind=blind, by=world.tech), 5)
    closed = close(blind=blind, by=world.engineer)
    assert "One listener began and stopped, after 2 of 5 rounds." in closed.outcome
    assert closed.outcome.startswith("No reliable difference heard: 5 of 5 right")
    assert "counts as 12 % because 4 results are judged at once" in closed.outcome
    client.force_login(world.people["crew"])
    text = client.get(address(world, blind, "blind")).content.decode()
    assert "Began and stopped: 2 of 5 rounds." in text


def test_closed_before_all_are_done_nothing_is_said_of_all_together(
    world: World, blind: BlindTrial
) -> None:
    blind = for_more(blind, 3)
    for user in (world.tech, world.engineer):
        listen_to_the_end(begin(blind=blind, by=user), 5)
    closed = close(blind=blind, by=world.engineer)
    # 4 · 1/32 = 12.5 %: neither is beyond luck, though together they would be.
    assert closed.outcome.startswith("No reliable difference heard, each taken alone")
    assert "judged only where all listen to the end" in closed.outcome


def test_a_trial_that_nobody_finished_can_be_closed_and_stays(
    world: World, blind: BlindTrial
) -> None:
    answer(sitting=begin(blind=blind, by=world.tech), number=1, x="first")
    closed = close(blind=blind, by=world.engineer)
    assert closed.outcome == (
        "Nobody listened to the end. One listener began and stopped, after 1 of 5 rounds."
    )


def test_listening_to_the_same_two_again_is_on_record(world: World, blind: BlindTrial) -> None:
    listen_to_the_end(begin(blind=blind, by=world.tech), 2)
    assert "blind trial" not in close(blind=blind, by=world.engineer).outcome
    again = open_for(blind.trial, blind.clip_b, blind.clip_a, 1)
    listen_to_the_end(begin(blind=again, by=world.tech), 5)
    assert "It was blind trial 2 of these two clips" in close(blind=again, by=world.tech).outcome


def test_one_that_was_opened_before_listeners_were_fixed_is_judged_one_by_one(
    client: Client, world: World, blind: BlindTrial
) -> None:
    BlindTrial.objects.update(listeners=None)
    blind.refresh_from_db()
    for user in (world.tech, world.engineer):
        listen_to_the_end(begin(blind=blind, by=user), 5)
    client.force_login(world.engineer)
    assert "Together:" not in client.get(address(world, blind, "blind")).content.decode()
    assert "each taken alone" in close(blind=blind, by=world.engineer).outcome


def test_no_reliable_difference_is_an_outcome(world: World, blind: BlindTrial) -> None:
    with pytest.raises(ValidationError, match="Nobody has listened"):
        close(blind=blind, by=world.engineer)
    sitting = begin(blind=blind, by=world.tech)
    listen_to_the_end(sitting, 3)
    found = result_of(sitting)
    assert found is not None
    assert (found.right, found.prefers_a, found.prefers_b) == (3, 5, 0)
    closed = close(blind=blind, by=world.engineer)
    # 16 of 32 ways: three or more of five heads.
    assert closed.outcome.startswith("No reliable difference heard: 3 of 5 right;")
    assert "50 % of trials" in closed.outcome
    assert "“Hushed” in 5 rounds" in closed.outcome
    with pytest.raises(ValidationError, match="closed"):
        begin(blind=blind, by=world.people["crew"])


def test_the_trial_shows_what_was_heard_blind(
    client: Client, world: World, blind: BlindTrial
) -> None:
    listen_to_the_end(begin(blind=blind, by=world.tech), 5)
    close(blind=blind, by=world.engineer)
    client.force_login(world.engineer)
    text = client.get(blind.trial.get_absolute_url()).content.decode()
    assert "A difference was heard: 5 of 5 right" in text


def test_what_cannot_be_set_against_each_other(world: World, blind: BlindTrial) -> None:
    a, b = blind.clip_a, blind.clip_b
    other = bring_clip(world, as_file(tone(1.0, rate=44_100), 44_100))
    for pair, said in (((a, a), "two different"), ((a, other), "sample rate")):
        with pytest.raises(ValidationError, match=said):
            open_blind(
                trial=blind.trial,
                clip_a=pair[0],
                clip_b=pair[1],
                rounds=5,
                listeners=1,
                by=world.tech,
            )
    with pytest.raises(ValidationError):
        open_blind(trial=blind.trial, clip_a=a, clip_b=b, rounds=3, listeners=1, by=world.tech)
    silence = np.zeros((3 * 48_000, 1))  # for as long as both are played
    b = bring_clip(world, as_file(np.concatenate([silence, tone(1.0)])))
    with pytest.raises(ValidationError, match="silent or too short"):
        open_blind(trial=blind.trial, clip_a=a, clip_b=b, rounds=5, listeners=1, by=world.tech)


def test_it_asks_for_clips_where_there_are_not_two(client: Client, world: World) -> None:
    trial = open_a_trial(world)
    bring_clip(world, title="Alone")
    client.force_login(world.engineer)
    address = reverse("notes:blind_new", args=[world.production.pk, trial.pk])
    bring = reverse("notes:clip_new", args=[world.production.pk, world.rig.pk])
    text = client.get(address).content.decode()
    assert f"{bring}?input={world.input.pk}" in text
    assert 'name="clip_a"' not in text
    bring_clip(world, as_file(tone(2.0)), title="Another", take="Take 2")
    text = client.get(address).content.decode()
    assert bring not in text
    assert "Another (7 Bass mic, Take 2, " in text
    text = client.post(address, {"rounds": "3"}).content.decode()
    assert "5 rounds at least." in text
    assert 'value="3"' in text


def test_a_whole_listening_by_the_pages(client: Client, world: World, blind: BlindTrial) -> None:
    client.force_login(world.people["crew"])
    client.post(address(world, blind, "blind_begin"))
    url = address(world, blind, "blind_round")
    assert client.post(url, {"number": "1"}).status_code == 400
    for number in range(1, 6):
        response = client.get(url)
        assert f"Round {number} of 5" in response.content.decode()
        client.post(url, {"number": str(number), "x": "first", "prefers": ""})
    assert client.get(url).url == address(world, blind, "blind")  # type: ignore[attr-defined]


def test_the_page_takes_as_many_queries_for_many_listeners(
    client: Client, world: World, blind: BlindTrial
) -> None:
    client.force_login(world.engineer)
    blind = for_more(blind, len(world.people))
    listen_to_the_end(begin(blind=blind, by=world.engineer), 5)
    with CaptureQueriesContext(connection) as one:
        client.get(address(world, blind, "blind"))
    for user in world.people.values():
        if user != world.engineer:
            listen_to_the_end(begin(blind=blind, by=user), 2)
    with CaptureQueriesContext(connection) as many:
        client.get(address(world, blind, "blind"))
    assert len(many) == len(one)


def test_clips_of_one_performance_begin_at_the_same_moment(client: Client, world: World) -> None:
    """The second was cut 0.3 s later: heard as they are, the beginning alone would tell. What is
    cut off there is loud, and does not count for how loud the rest is played."""
    spin = np.random.default_rng(5)
    phrase = 0.04 * spin.standard_normal(3 * 48_000) * np.repeat(spin.uniform(0, 1, 30), 4800)
    phrase[:14_400] *= 5
    early = bring_clip(world, as_file(phrase))
    late = bring_clip(world, as_file(phrase[14_400:] + 0.001 * spin.standard_normal(129_600)))
    made = open_blind(
        trial=open_a_trial(world), clip_a=early, clip_b=late, rounds=5, listeners=1, by=world.tech
    )
    assert made.one_performance is True
    assert (made.lead_a_s, made.lead_b_s) == (pytest.approx(0.3, abs=1e-4), 0)
    client.force_login(world.engineer)
    begin(blind=made, by=world.engineer)
    bodies = [fetch(client, world, made, 1, label).content for label in ("first", "second")]
    one, other = (soundfile.read(io.BytesIO(body))[0] for body in bodies)
    assert len(one) == len(other) == 129_600
    assert np.corrcoef(one, other)[0, 1] > 0.99
    meter = pyloudnorm.Meter(48_000)
    assert abs(meter.integrated_loudness(one) - meter.integrated_loudness(other)) < 0.15


def test_two_performances_are_said_to_be_two(
    client: Client, world: World, blind: BlindTrial
) -> None:
    spin = np.random.default_rng(6)
    one, other = (bring_clip(world, as_file(0.1 * spin.standard_normal(96_000))) for _ in range(2))
    made = open_blind(
        trial=blind.trial, clip_a=one, clip_b=other, rounds=5, listeners=1, by=world.tech
    )
    assert made.one_performance is False
    client.force_login(world.engineer)
    text = client.get(address(world, made, "blind")).content.decode()
    assert "are two performances: what was heard may be the playing" in text
    listen_to_the_end(begin(blind=made, by=world.tech), 5)
    assert "two performances" in close(blind=made, by=world.tech).outcome


def test_both_clips_are_read_for_every_sound_so_that_time_tells_nothing(
    client: Client, world: World, blind: BlindTrial, monkeypatch: pytest.MonkeyPatch
) -> None:
    from notes.blind import sound

    read: list[str] = []
    real = sound.start_of  # type: ignore[attr-defined]
    monkeypatch.setattr(
        sound, "start_of", lambda clip, frames: (read.append(clip.name), real(clip, frames))[1]
    )
    client.force_login(world.engineer)
    begin(blind=blind, by=world.engineer)
    for label in ("first", "second", "x"):
        read.clear()
        assert fetch(client, world, blind, 1, label).status_code == 200
        assert read == ["Hushed", "Loud"]


def test_nobody_sees_an_order_before_the_listener_is_done(
    client: Client, world: World, blind: BlindTrial
) -> None:
    blind = for_more(blind, 2)
    theirs = begin(blind=blind, by=world.tech)
    mine = begin(blind=blind, by=world.engineer)  # who opened it
    client.force_login(world.engineer)
    for url in (
        address(world, blind, "blind"),
        address(world, blind, "blind_round"),
        blind.trial.get_absolute_url(),
    ):
        text = client.get(url).content.decode()
        for sitting in (theirs, mine):
            assert sitting.nonce not in text, url
            assert '["a"' not in text, url
            assert "&quot;a&quot;" not in text, url
    listen_to_the_end(mine, 3)
    assert theirs.nonce not in client.get(address(world, blind, "blind")).content.decode()


def test_once_it_is_closed_everybody_can_check_every_seal(
    client: Client, world: World, blind: BlindTrial
) -> None:
    sitting = begin(blind=blind, by=world.tech)
    listen_to_the_end(sitting, 4)
    close(blind=blind, by=world.engineer)
    client.force_login(world.people["crew"])
    text = client.get(address(world, blind, "blind")).content.decode()
    assert sitting.nonce in text
    assert sitting.seal in text


@pytest.mark.parametrize("pair", range(4))
def test_what_is_played_is_equally_loud_whatever_comes_after_it(
    client: Client, world: World, pair: int
) -> None:
    """Takes of 12 to 20 s whose level is drawn anew each second, over 25 dB; by pyloudnorm."""
    spin = np.random.default_rng(300 + pair)
    clips = []
    for _ in range(2):
        seconds = int(spin.integers(12, 20))
        levels = np.repeat(10 ** (spin.uniform(-25, 0, seconds) / 20), 48_000)
        clips.append(bring_clip(world, as_file(0.2 * levels * spin.standard_normal(len(levels)))))
    trial = open_a_trial(world)
    made = open_blind(
        trial=trial, clip_a=clips[0], clip_b=clips[1], rounds=5, listeners=1, by=world.engineer
    )
    client.force_login(world.engineer)
    begin(blind=made, by=world.engineer)
    bodies = [fetch(client, world, made, 1, label).content for label in ("first", "second")]
    heard = [soundfile.read(io.BytesIO(body))[0] for body in bodies]
    one, other = (pyloudnorm.Meter(48_000).integrated_loudness(each) for each in heard)
    assert abs(one - other) < 0.15
    assert "by an older method" not in client.get(address(world, made, "blind")).content.decode()


def test_a_trial_that_was_opened_at_other_gains_says_so(
    client: Client, world: World, blind: BlindTrial
) -> None:
    BlindTrial.objects.filter(pk=blind.pk).update(gain_b_db=blind.gain_b_db + 2)
    client.force_login(world.engineer)
    text = client.get(address(world, blind, "blind")).content.decode()
    assert "one of the two is 2.0 dB louder than the other" in text
    assert "Open a new one instead." in text
    listen_to_the_end(begin(blind=blind, by=world.tech), 5)
    blind.refresh_from_db()
    assert "2.0 dB louder" in close(blind=blind, by=world.tech).outcome
