"""The page of clips side by side: gains, positions, words, refusals, and how much it asks."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

import numpy as np
import pyloudnorm
import pytest
import soundfile
from django.core.cache import cache
from django.core.files.storage import default_storage
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models.roles import Role
from notes.clips.storage import path_of
from notes.comparing.pictures import outline_in_words
from notes.comparing.sides import CannotCompare, gain_in_words, side_by_side
from notes.listening.loudness import measure
from notes.listening.peaks import true_peak
from notes.models import Clip, Note
from tests.support.clips_side_by_side import RATE, clip_of, noise, shaped, two_clips
from tests.support.sounds import samples
from tests.support.world import World, make_world


@pytest.fixture
def world(db: None) -> World:
    cache.clear()
    return make_world()


@pytest.fixture
def page(world: World, client: Client) -> Callable[..., Any]:
    client.force_login(world.people[Role.CREW])

    def get(*clips: Any, **query: Any) -> Any:
        asked = query | {"clip": [str(getattr(clip, "pk", clip)) for clip in clips]}
        return client.get(reverse("notes:compare", args=[world.production.pk]), asked)

    return get


def test_two_microphones_on_one_take(world: World, page: Callable[..., Any]) -> None:
    """Made 6.02 dB and 10 ms apart, 3 dB less in the bands of 100 to 160 Hz."""
    near, far = two_clips(world)
    found = page(near, far).context["comparison"]
    a, b = found.sides
    assert b.gain_db - a.gain_db == pytest.approx(6.02, abs=0.15)
    assert b.relation.delay_s == pytest.approx(0.010, abs=5e-5)
    assert (a.lead_s, b.lead_s) == pytest.approx((0, 0.010), abs=5e-5)
    assert found.seconds == pytest.approx(4 - 0.010, abs=1e-3)
    assert b.reading.words[0].endswith("less at 100–160 Hz")
    assert "10.00 ms later than A" in b.when_words


def test_what_is_played_is_equally_loud_and_never_clips(world: World) -> None:
    """Measured again on the stored samples, after BS.1770."""
    loud = clip_of(world, noise(level=0.2), "Loud")
    peaky = noise(seed=2, level=0.02)
    peaky[RATE] = 0.9
    sides = side_by_side([loud, clip_of(world, peaky, "Peaky")]).sides
    levels = []
    for side in sides:
        played = samples(side.clip)[0] * 10 ** (side.gain_db / 20)
        levels.append(measure(played, RATE).integrated)
        assert true_peak(played) <= -1 + 0.01
    assert levels[0] == pytest.approx(levels[1], abs=0.1)


@pytest.mark.parametrize("section", [{}, {"from": "1", "to": "2.5"}])
def test_without_mixing_in_the_browser_each_is_a_file_that_is_matched_and_in_step(
    page: Callable[..., Any], world: World, client: Client, section: dict[str, str]
) -> None:
    """Loudness after BS.1770 by pyloudnorm; the delay is what the clips were made with."""
    near, far = two_clips(world)
    text = page(near, far, **section).content.decode()
    plain = text[text.index("data-plain") :]
    urls = [html.unescape(each) for each in re.findall(r'src="([^"]*compare/sound[^"]*)"', plain)]
    assert len(urls) == 2
    bodies = [b"".join(client.get(url).streaming_content) for url in urls]  # type: ignore[attr-defined]
    played = [soundfile.read(io.BytesIO(body))[0] for body in bodies]
    assert len(played[0]) == len(played[1])
    assert len(played[0]) == pytest.approx((1.5 if section else 3.99) * RATE, abs=RATE // 100)
    loudness = [pyloudnorm.Meter(RATE).integrated_loudness(each) for each in played]
    assert loudness[0] == pytest.approx(loudness[1], abs=0.1)
    # In step: nothing is more alike a sample earlier or later.
    alike = [np.dot(played[0][10:-10], np.roll(played[1], by)[10:-10]) for by in (-2, -1, 0, 1, 2)]
    assert int(np.argmax(alike)) == 2
    # Parts of one file fit together, as the players of telephones ask for them.
    part = client.get(urls[1], headers={"Range": "bytes=1000-1999"})
    assert part.status_code == 206
    assert b"".join(part.streaming_content) == bodies[1][1000:2000]  # type: ignore[attr-defined]
    assert client.get(urls[1].replace("/sound/2/", "/sound/3/")).status_code == 404


def swelling(seed: int, seconds: float = 8.0) -> Any:
    """Noise whose level is drawn anew every second, over 20 dB."""
    levels = np.random.default_rng(1770 + seed).uniform(-20, 0, int(seconds))
    return noise(seconds, seed, 0.2) * np.repeat(10 ** (levels / 20), RATE)


@pytest.mark.parametrize("section", [None, (0.5, 2.5), (3.0, 7.0)])
def test_the_time_that_is_played_is_equally_loud(
    world: World, section: tuple[float, float] | None
) -> None:
    """Three takes of 5 to 8 s; the common time is that of the shortest. By pyloudnorm."""
    clips = [clip_of(world, swelling(n, 8 - n), f"Take {n}") for n in range(2)]
    clips.append(clip_of(world, swelling(9, 8) / 5, "Quiet"))
    found = side_by_side(clips, section)
    start, end = section or (0.0, 7.0)
    assert found.section == pytest.approx((start, end))
    levels = []
    for side in found.sides:
        heard = samples(side.clip)[0][round(start * RATE) : round(end * RATE)]
        both = np.broadcast_to(heard, (len(heard), 2)) * 10 ** (side.gain_db / 20)
        levels.append(pyloudnorm.Meter(RATE).integrated_loudness(both))
        assert true_peak(both) <= -1 + 0.05
    assert max(levels) - min(levels) < 0.1


def test_a_part_is_matched_and_read_without_scripts_and_with(
    world: World, page: Callable[..., Any], client: Client
) -> None:
    """From 2 to 4 s the second is 12 dB down; before and after both are one sound."""
    first = noise(6)
    second = first.copy()
    second[2 * RATE : 4 * RATE] *= 10 ** (-12 / 20)
    one, two = clip_of(world, first, "One"), clip_of(world, second, "Two")
    response = page(one, two, **{"from": "2", "to": "4,0"})
    sides = response.context["comparison"].sides
    assert sides[1].gain_db - sides[0].gain_db == pytest.approx(12, abs=0.1)
    assert "are those from 2.00 to 4.00 s" in response.content.decode()
    assert sides[1].reading.words == []
    asked = {"clip": [one.pk, two.pk], "from": "4.2", "to": "5.9"}
    address = reverse("notes:compare_gains", args=[world.production.pk])
    found = client.get(address, asked).json()["sides"]
    assert found[0]["gain"] == pytest.approx(found[1]["gain"], abs=0.1)
    assert found[0]["words"].startswith("played")
    assert "at least 0.1 s" in client.get(address, asked | {"to": "4.25"}).json()["refused"]


@pytest.mark.parametrize("wrong", ["3;2", "a;2", ";nan", "nan;nan", "-1;0", "9;12", "1;1.05"])
def test_a_part_that_is_none_is_refused_beside_what_was_typed(
    world: World, page: Callable[..., Any], wrong: str
) -> None:
    typed = dict(zip(("from", "to"), wrong.split(";"), strict=True))
    response = page(*two_clips(world, 2), **typed)
    text = response.content.decode()
    assert "A part is at least 0.1 s long" in text
    assert all(f'value="{value}"' in text for value in typed.values() if value)
    assert not response.context["comparison"].is_part


def test_a_silent_part_is_refused_in_words(world: World, page: Callable[..., Any]) -> None:
    sound = np.concatenate([noise(2), np.zeros(2 * RATE)])
    clips = clip_of(world, sound, "Stops"), clip_of(world, noise(4, 3), "Goes on")
    text = page(*clips, **{"from": "3", "to": "4"}).content.decode()
    assert "“Stops” is silent from 3.00 to 4.00 s" in text


def test_it_reads_the_page_in_words(world: World, page: Callable[..., Any]) -> None:
    near, far = two_clips(world)
    text = page(near, far).content.decode()
    assert "dB less at 100–160 Hz" in text
    assert "played 6." in text
    assert text.count("<audio") == 2
    assert "All bands in numbers" in text
    assert "B against A" in text


def test_of_many_clips_each_thing_is_said_once(world: World, page: Callable[..., Any]) -> None:
    first = noise(2)
    clips = [clip_of(world, first, "A")]
    clips += [clip_of(world, shaped(first, 1e3, 2e3, each), f"{each} dB") for each in (-6, 3, 6)]
    text = page(*clips).content.decode()
    assert text.count("What cannot be measured") == 1
    assert text.count("what is smaller may be chance") == 1
    assert text.count("Filled bars count") == 1
    assert text.count("difference-bar") > 3 * 20
    same = clip_of(world, first, "The same again", format="FLAC")
    text = page(*clips, same).content.decode()
    assert "E against A: no difference that counts in any band." in text
    assert "<p>No difference that counts in any band.</p>" in page(clips[0], same).content.decode()
    # Each of the others can be what the rest are read against: B first, then the rest as it was.
    letter, url = page(*clips).context["instead"][0]
    assert letter == "B"
    again = page(*parse_qs(urlsplit(url).query)["clip"]).context["comparison"]
    assert [side.clip for side in again.sides] == [clips[1], clips[0], *clips[2:]]


def test_mono_and_stereo_are_equally_loud_as_a_browser_plays_them(world: World) -> None:
    """A mono clip comes from the left and from the right; measured so by the general-purpose
    library pyloudnorm."""
    sound = noise(level=0.05)
    clips = [
        clip_of(world, sound, "One channel"),
        clip_of(world, np.stack([sound, sound], axis=1), "The same twice"),
        clip_of(world, np.stack([sound, 0.3 * noise(seed=7)], axis=1), "Two"),
    ]
    sides = side_by_side(clips).sides
    levels = []
    for side in sides:
        played = np.broadcast_to(samples(side.clip)[0], (len(sound), 2)) * 10 ** (side.gain_db / 20)
        levels.append(pyloudnorm.Meter(RATE).integrated_loudness(played))
    assert levels == pytest.approx([levels[0]] * 3, abs=0.1)
    assert sides[1].reading.words == []  # type: ignore[union-attr]


def test_two_takes_are_said_to_be_two(world: World) -> None:
    found = side_by_side([clip_of(world, noise(), "One"), clip_of(world, noise(seed=2), "Two")])
    assert found.caveats[0].startswith("B is another performance than A")
    assert [side.lead_s for side in found.sides] == [0, 0]
    assert found.sides[1].when_words == ""
    assert found.unaligned_words.startswith("B is not aligned with A")


def test_the_earliest_clip_leads(world: World) -> None:
    whole = noise(5)
    early, late = clip_of(world, whole, "Whole"), clip_of(world, whole[RATE // 2 :], "Cut later")
    found = side_by_side([late, early])
    assert [side.lead_s for side in found.sides] == pytest.approx([0, 0.5], abs=1e-3)
    assert found.seconds == pytest.approx(4.5, abs=0.01)


def test_words_of_the_note_stand_beside_the_reading(world: World, page: Callable[..., Any]) -> None:
    note = Note.objects.create(
        production=world.production,
        rig=world.rig,
        words="Too boomy.",
        verdict="adjust",
        reading="Cut it at 100–160 Hz.",
        written_by=world.engineer,
    )
    first = noise()
    one = clip_of(world, first, "One", note=note)
    two = clip_of(world, shaped(first, 89.125, 177.828, -4), "Two")
    beside = page(one, two).context["beside"]
    assert [each.note for each in beside] == [note]
    ranges = {place.named.words: place.there[0] for place in beside[0].pointed}
    assert ranges["100–160 Hz"].db == pytest.approx(-4, abs=0.3)
    assert ranges["boomy"].words.endswith("less than A")


def test_it_takes_two_to_six(world: World, page: Callable[..., Any]) -> None:
    clips = [clip_of(world, noise(0.6, seed), f"Clip {seed}") for seed in range(7)]
    assert "Choose 2 to 6 clips" in page(*clips).content.decode()
    one = page(clips[0]).content.decode()
    assert "Choose a clip to compare with “Clip 0”." in one
    assert "Choose 2 to 6 clips" not in one
    with pytest.raises(CannotCompare, match="2 to 6"):
        side_by_side(clips[:1])


def test_too_few_clips_to_choose_from(world: World, client: Client) -> None:
    """Says how many there are and where to bring one, instead of a choice without choices."""
    client.force_login(world.engineer)
    address = reverse("notes:compare", args=[world.production.pk])
    bring = f"{reverse('notes:clip_new', args=[world.production.pk, world.rig.pk])}?input="
    text = client.get(address, {"input": world.input.pk}).content.decode()
    assert "There is no clip of this input yet." in text
    assert f"{bring}{world.input.pk}" in text
    clip = clip_of(world, noise(1), "Alone")
    text = client.get(address, {"clip": clip.pk}).content.decode()
    assert "There is one clip of this input, and it takes two." in text
    client.force_login(world.people[Role.CREW])
    text = client.get(address, {"clip": clip.pk}).content.decode()
    assert bring not in text


def test_what_has_no_loudness_is_refused_in_words(world: World, page: Callable[..., Any]) -> None:
    short = clip_of(world, noise(0.3), "Blip")
    text = page(short, clip_of(world, noise(1), "Long")).content.decode()
    assert "“Blip” is silent, or shorter than 0.4 s" in text


def test_a_lost_file_is_told(world: World) -> None:
    near, far = two_clips(world, 1)
    default_storage.delete(path_of(far.working))
    with pytest.raises(CannotCompare, match="missing"):
        side_by_side([near, far])


def test_clips_elsewhere_are_not_found(world: World, page: Callable[..., Any]) -> None:
    near, _ = two_clips(world, 1)
    other = make_world("Another act")
    assert page(near, clip_of(other, noise(1), "Theirs")).status_code == 404
    assert page(near, uuid4()).status_code == 404
    assert page("nonsense").status_code == 404
    assert page(input=other.input.pk).status_code == 404
    assert page(input="x").status_code == 404


def test_choosing(world: World, page: Callable[..., Any]) -> None:
    assert "Nothing to compare yet" in page().content.decode()
    near, far = two_clips(world, 1)
    assert [each.pk for each in page().context["inputs"]] == [world.input.pk]
    text = page(input=world.input.pk).content.decode()
    assert str(near.pk) in text
    assert str(far.pk) in text


def test_six_clips_take_as_many_queries_as_two(world: World, page: Callable[..., Any]) -> None:
    clips = []
    for seed in range(6):
        clips.append(clip_of(world, noise(0.6, seed), f"Clip {seed}"))
        world.turn(f"1:{seed}0")  # so that each is of another revision of the rig

    def asked(*some: Clip) -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert page(*some).context["comparison"]
        return len(seen)

    assert asked(*clips[:2]) == asked(*clips) == 13


def test_sound_is_read_once_and_then_kept(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    near, far = two_clips(world, 1)
    before = side_by_side([near, far])

    def refuse(*_: Any, **__: Any) -> Any:
        raise AssertionError("the file was opened again")

    monkeypatch.setattr("notes.comparing.measure.start_of", refuse)
    again = side_by_side([near, far])
    assert again.sides[1].relation == before.sides[1].relation
    assert np.array_equal(again.sides[0].columns, before.sides[0].columns)


def test_gains_in_words() -> None:
    assert gain_in_words(-3.21) == "played 3.2 dB quieter"
    assert gain_in_words(0.5) == "played 0.5 dB louder"
    assert gain_in_words(-0.01) == "played as it is"


def test_the_outline_is_told_in_words_as_it_is_drawn(
    world: World, page: Callable[..., Any]
) -> None:
    """A burst of ±0.5 from 1 to 2 s of 4 s: highest there, and nothing but noise for 2 s after."""
    sound = noise(4, level=0.0005)
    sound[RATE : 2 * RATE] += np.where(np.arange(RATE) % 100 < 50, 0.5, -0.5)
    burst = clip_of(world, sound, "Burst")
    found = side_by_side([burst, clip_of(world, sound, "Again", format="FLAC")])
    words = outline_in_words(found.first)
    assert "quiet from 2.0 to 4.0 s" in words
    peak = 20 * np.log10(0.5) + found.first.gain_db
    assert f"{peak:.1f}".replace("-", "−")[:-1] in words
    text = page(burst, found.others[0].clip).content.decode()
    assert f'aria-label="{words}"' in text
