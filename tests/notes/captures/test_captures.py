"""Known delays and polarities come back; tape and sound are set side by side; a change follows."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from scipy.signal import butter, sosfilt

from core.models import Leg
from notes.captures.measure import CannotMeasure, measure
from notes.captures.propose import DELAY, POLARITY, apply, proposals
from notes.captures.store import save_pair, take_back
from notes.listening.doubt import LOUDEST_OPEN, TWO_PERFORMANCES
from notes.models import CapturePair, ChangeClip, Clip, Note
from rigs.changes.edits import Add, Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.checks.acceptance import FindingWithWords, acknowledge, findings_with_words
from rigs.checks.findings import Severity
from rigs.models import Input, Revision, Rig
from tests.support.captures import make_pair
from tests.support.sounds import as_file, bring_clip, tone, wav
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
    found = measure(*pair(world, di, samples / RATE, sign))
    assert found.delay_s * RATE == pytest.approx(samples, abs=0.05)
    assert found.polarity == sign
    assert found.is_certain


def test_the_tape_says_the_distance_over_the_speed_of_sound(world: World, di: Input) -> None:
    # The world's microphone stands 35 mm away; a DI hears without delay.
    measured = measure(*pair(world, di, 0.0021))
    assert measured.tape.seconds == pytest.approx(0.035 / SPEED)
    assert measured.predicted_ms == pytest.approx(0.035 / SPEED * 1000)


@pytest.mark.parametrize(("seconds", "agrees"), [(0.035 / SPEED, True), (0.0021, False)])
def test_sound_and_tape_agree_or_not(world: World, di: Input, seconds: float, agrees: bool) -> None:
    assert measure(*pair(world, di, seconds)).agrees is agrees


def test_what_hangs_together_too_loosely_gives_no_proposal(world: World, di: Input) -> None:
    first = bring_clip(world, as_file(plucks(1)), input=di)
    second = bring_clip(world, as_file(plucks(2)))
    measured = measure(first, second)
    assert not measured.is_certain
    assert measured.agrees is None
    assert proposals(measured) == {}
    assert measured.relation.doubt == TWO_PERFORMANCES
    assert "Cannot tell how far apart Bass DI and Bass mic are" in measured.words


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
        assert di.delay_ms == Decimal("2.10")


def test_the_page_measures_and_applies(client: Client, world: World, di: Input) -> None:
    first, second = pair(world, di, 0.0021, -1)
    url = reverse("notes:captures", args=[world.production.pk])
    query = f"?first={first.pk}&second={second.pk}"
    client.force_login(world.people["crew"])
    text = client.get(url + query).content.decode()
    assert "comes 2.10 ms after" in text
    assert "Sound and tape measure disagree" in text
    assert "they pull against each other" in text
    assert "<svg" in text
    assert client.post(url + query, {"what": DELAY, "base": "2"}).status_code == 403
    client.force_login(world.engineer)
    world.rig.refresh_from_db()
    sent = {"what": DELAY, "base": str(world.rig.head_number)}
    assert client.post(url + query, sent).status_code == 302
    di.refresh_from_db()
    assert di.delay_ms == Decimal("2.10")


def test_two_microphones_may_both_have_heard_another_source(
    client: Client, world: World, di: Input
) -> None:
    key = uuid4()
    world.record(Add(str(key), "input", {"number": 9, "name": "Far mic"}))
    far = Input.objects.get(pk=key)
    client.force_login(world.people["crew"])
    url = reverse("notes:captures", args=[world.production.pk])
    direct, near = pair(world, di, 0.0021)
    further = bring_clip(world, as_file(later(plucks(), 0.004)), input=far, title="Far")
    for first, said in ((direct, False), (further, True)):
        text = client.get(f"{url}?first={first.pk}&second={near.pk}").content.decode()
        assert "ms after" in text
        assert ("nothing but the sound says that this is the delay of this source" in text) is said


@pytest.mark.parametrize(("distance_m", "told"), [("0.4", True), ("0.8", False)])
def test_what_the_tape_bears_out_is_told_where_the_sound_alone_leaves_it_open(
    world: World, distance_m: str, told: bool
) -> None:
    key = uuid4()
    placed = {"unit": str(world.unit.pk), "reference_point": "grille", "distance_m": distance_m}
    world.record(Add(str(key), "input", {"number": 9, "name": "Far mic", **placed}))
    far = Input.objects.get(pk=key)
    # The world's microphone stands 35 mm from the grille.
    late = (0.4 - 0.035) / SPEED
    low = make_pair("bass_line", 0, delay_s=late, polarity=1)
    near = bring_clip(world, as_file(low.first))
    measured = measure(near, bring_clip(world, as_file(low.second), input=far))
    assert replace(measured.relation, borne_out=False).doubt == LOUDEST_OPEN
    assert measured.is_certain is told
    assert measured.relation.doubt == (None if told else LOUDEST_OPEN)
    assert measured.relation.caution == ""
    if told:
        assert measured.agrees
        assert measured.delay_s == pytest.approx(late, abs=1e-4)


def test_the_page_without_clips_and_with_wrong_ones(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    url = reverse("notes:captures", args=[world.production.pk])
    assert client.get(url).status_code == 200
    assert client.get(f"{url}?first=x&second=y").status_code == 404
    assert client.get(f"{url}?first={uuid4()}&second={uuid4()}").status_code == 404
    assert client.post(url, {"what": "delay"}).status_code == 302


@pytest.mark.parametrize(("sign", "said"), [(1, "no notches come of"), (-1, "pull against each")])
def test_captures_that_arrive_together_have_a_page_and_findings(
    client: Client, world: World, di: Input, sign: int, said: str
) -> None:
    first, second = pair(world, di, 0.0, sign)
    client.force_login(world.engineer)
    address = reverse("notes:captures", args=[world.production.pk])
    page = client.get(address, {"first": first.pk, "second": second.pk})
    assert page.status_code == 200
    assert said in page.content.decode()
    assert ("would change no band" in page.content.decode()) == (sign > 0)
    measured = page.context["measured"]
    assert not measured.is_apart
    save_pair(measured, by=world.engineer)
    for name in ("rigs:rig", "rigs:findings"):
        assert (
            client.get(reverse(name, args=[world.production.pk, world.rig.pk])).status_code == 200
        )


def test_without_two_clips_the_page_asks_for_both_tracks(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    address = reverse("notes:captures", args=[world.production.pk])
    bring_clip(world, title="Alone")
    text = client.get(address).content.decode()
    assert 'name="first"' not in text
    assert "Upload both tracks below" in text
    assert reverse("notes:captures_new", args=[world.production.pk, world.rig.pk]) in text
    bring_clip(world, wav(2), title="Another")  # the same sound would be the same clip
    assert 'name="first"' in client.get(address).content.decode()


def findings_of(world: World, rule: str) -> list[FindingWithWords]:
    return [
        each for each in findings_with_words([world.rig])[world.rig.pk] if each.finding.rule == rule
    ]


def kept_pair(world: World, di: Input, seconds: float = 0.0021, sign: int = 1) -> CapturePair:
    return save_pair(measure(*pair(world, di, seconds, sign)), by=world.engineer)


def test_a_kept_measurement_is_a_finding_where_sound_and_tape_disagree(
    client: Client, world: World, di: Input
) -> None:
    measured = measure(*pair(world, di, 0.0021, -1))
    assert findings_of(world, "measured_delay") == []
    save_pair(measured, by=world.engineer)
    (found,) = findings_of(world, "measured_delay")
    assert [figure.shown for figure in found.finding.figures][:2] == ["2.1 ms", "0.1 ms"]
    assert len(findings_of(world, "measured_polarity")) == 1
    client.force_login(world.people["crew"])
    place = world.production.pk
    leg = Leg.objects.create(
        production=world.production, name="Winter", starts_on="2031-01-02", ends_on="2031-01-09"
    )
    for url in (
        reverse("rigs:rig_findings", args=[place, world.rig.pk]),
        reverse("rigs:input", args=[place, world.rig.pk, di.pk]),
        reverse("rigs:input", args=[place, world.rig.pk, world.input.pk]),
        reverse("notes:handover", args=[place, leg.pk]),
    ):
        text = client.get(url).content.decode()
        assert "Bass DI and Bass mic: sound and tape measure disagree" in text, url


def test_it_is_accepted_with_words_until_its_numbers_change(world: World, di: Input) -> None:
    kept_pair(world, di)
    (found,) = findings_of(world, "measured_delay")
    acknowledge(
        rig=world.rig,
        signature=found.finding.signature,
        words="The radio adds it.",
        user=world.engineer,
    )
    assert findings_of(world, "measured_delay")[0].is_accepted
    kept_pair(world, di, 0.0031)
    assert not findings_of(world, "measured_delay")[0].is_accepted


def test_correcting_the_record_mends_it_and_moving_the_microphone_makes_it_out_of_date(
    world: World, di: Input
) -> None:
    kept_pair(world, di)
    right = Decimal("0.7207")  # 2.1 ms at 343.2 m/s
    edit = Set(str(world.input.pk), "input", {"distance_m": right})
    world.record(edit, reason=Reason(ReasonKind.CORRECTION, "Measured to the grille before."))
    assert findings_of(world, "measured_delay") == []
    edit = Set(str(world.input.pk), "input", {"distance_m": Decimal("0.3")})
    moved = world.record(edit, reason=Reason(ReasonKind.WISH, "Nearer."))
    assert moved is not None
    (found,) = findings_of(world, "measured_delay")
    assert found.finding.severity == Severity.NOT_MEASURED
    assert f"since change {moved.number}" in found.finding.title
    first, second = CapturePair.objects.get().first, CapturePair.objects.get().second
    again = measure(first, second)
    assert again.place.moved_in == moved.number
    # Set beside the distance of then, and nothing is proposed.
    assert again.tape.seconds == pytest.approx(0.035 / SPEED)
    assert proposals(again) == {}


def test_turning_the_switch_settles_the_polarity(world: World, di: Input) -> None:
    kept_pair(world, di, 0.0021, -1)
    assert len(findings_of(world, "measured_polarity")) == 1
    world.record(Set(str(world.input.pk), "input", {"reversed_polarity": True}))
    assert findings_of(world, "measured_polarity") == []
    clips = CapturePair.objects.get()
    assert POLARITY not in proposals(measure(clips.first, clips.second))


def test_behind_the_desk_its_switches_of_then_are_in_the_clips(world: World, di: Input) -> None:
    world.record(Set(str(world.input.pk), "input", {"reversed_polarity": True}))
    behind = measure(*pair(world, di, 0.0021, 1), through_desk=True)
    # Alike behind one reversed switch: the sources are opposed, and they add as they should.
    assert (behind.source_polarity, behind.inverted) == (-1, False)
    ahead = measure(behind.first, behind.second)
    assert (ahead.source_polarity, ahead.inverted) == (1, True)


def test_kept_once_taken_back_and_gone_with_a_retired_clip(world: World, di: Input) -> None:
    measured = measure(*pair(world, di, 0.0021))
    made = save_pair(measured, by=world.engineer)
    assert save_pair(measured, by=world.tech) == made
    take_back(made, by=world.tech)
    take_back(made, by=world.engineer)
    made.refresh_from_db()
    assert made.taken_back_by == world.tech
    assert findings_of(world, "measured_delay") == []
    save_pair(measured, by=world.engineer)
    assert len(findings_of(world, "measured_delay")) == 1
    measured.first.retire()
    assert findings_of(world, "measured_delay") == []


def test_what_is_not_certain_cannot_be_kept(world: World, di: Input) -> None:
    measured = measure(
        bring_clip(world, as_file(plucks(1)), input=di), bring_clip(world, as_file(plucks(2)))
    )
    with pytest.raises(ValidationError, match="nothing to save"):
        save_pair(measured, by=world.engineer)


def test_as_many_queries_for_many_kept_pairs_as_for_one(world: World, di: Input) -> None:
    clips = pair(world, di, 0.0021)
    save_pair(measure(*clips), by=world.engineer)
    with CaptureQueriesContext(connection) as one:
        findings_with_words([Rig.objects.get(pk=world.rig.pk)])
    for behind in (True, False):
        save_pair(measure(*clips[::-1], through_desk=behind), by=world.engineer)
    with CaptureQueriesContext(connection) as many:
        findings_with_words([Rig.objects.get(pk=world.rig.pk)])
    assert len(many) == len(one) <= 9


def test_parts_cut_from_one_recording_at_different_places_are_set_right(
    world: World, di: Input
) -> None:
    source = plucks()
    both = np.stack([source, later(source, 0.0021)], axis=1)
    first = bring_clip(world, as_file(both), input=di, left=1, starts_s=0.2)
    second = bring_clip(world, as_file(both), left=2, starts_s=1.3)
    assert measure(first, second).delay_s == pytest.approx(0.0021, abs=1e-5)


def test_what_aligning_adds_is_told_in_words(world: World, di: Input) -> None:
    """Two equal captures 2.1 ms apart cancel at 238 Hz (1 / 2τ), in the band of 250 Hz."""
    measured = measure(*pair(world, di, 0.0021))
    assert any("more at" in words for words in measured.adds_words)
    at = int(np.argmax(np.nan_to_num(measured.adds)))
    assert abs(at - 11) <= 1  # 20, 25, … 250 Hz is the twelfth of the bands


def test_both_tracks_are_brought_at_once(client: Client, world: World, di: Input) -> None:
    client.force_login(world.tech)
    source = plucks()
    url = reverse("notes:captures_new", args=[world.production.pk, world.rig.pk])
    two = np.stack([source, later(source, 0.0021)], axis=1)
    sent = {
        "first_input": str(di.pk),
        "second_input": str(world.input.pk),
        "take": "Take 4",
        "first_file": SimpleUploadedFile("both.wav", as_file(two)),
    }
    answer = client.post(url, sent)
    assert answer.status_code == 302
    assert "comes 2.10 ms after" in client.get(answer.url).content.decode()  # type: ignore[attr-defined]
    assert [clip.left for clip in Clip.objects.order_by("left")] == [1, 2]


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"first_file": as_file(plucks()[:RATE])}, "has not two channels"),
        ({"first_file": as_file(plucks()[:RATE]), "second_file": b"no sound"}, "second_file"),
        ({"first_file": as_file(np.stack([plucks()[:RATE], np.zeros(RATE)], axis=1))}, "is silent"),
        ({}, "Choose a sound"),
    ],
    ids=["one channel", "no sound", "one silent", "none"],
)
def test_nothing_is_kept_of_a_pair_that_is_none(
    client: Client, world: World, di: Input, files: dict[str, bytes], said: str
) -> None:
    client.force_login(world.tech)
    url = reverse("notes:captures_new", args=[world.production.pk, world.rig.pk])
    sent = {"first_input": str(di.pk), "second_input": str(world.input.pk)}
    uploads = {name: SimpleUploadedFile("x.wav", data) for name, data in files.items()}
    answer = client.post(url, sent | uploads)
    assert answer.status_code == 200
    assert said in answer.content.decode()
    assert not Clip.objects.exists()


def test_the_page_keeps_and_takes_back(client: Client, world: World, di: Input) -> None:
    first, second = pair(world, di, 0.0021)
    url = reverse("notes:captures", args=[world.production.pk])
    query = f"?first={first.pk}&second={second.pk}"
    client.force_login(world.people["crew"])
    assert client.post(url + query, {"what": "keep"}).status_code == 403
    client.force_login(world.engineer)
    assert client.post(url + query, {"what": "keep"}).status_code == 302
    text = client.get(url + query).content.decode()
    assert "Saved by" in text
    back = reverse(
        "notes:captures_take_back", args=[world.production.pk, CapturePair.objects.get().pk]
    )
    assert client.post(back).status_code == 302
    assert "Saved by" not in client.get(url + query).content.decode()
