"""The pages of clips: sending in one step and in two, the clip with its figures, lists, players."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from core import clock
from core.models import Section, Song
from core.search.backend import search
from notes.clips.figures import signed
from notes.clips.storage import path_of
from notes.models import Clip, StoredSound
from rigs.models import Revision
from tests.notes.clips.test_bext import bext_chunk, with_chunk
from tests.support.listening import change_for, hear
from tests.support.sounds import as_file, bring_clip, tone, wav
from tests.support.world import World, make_world


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def tech(world: World, client: Client) -> Client:
    client.force_login(world.tech)
    return client


def new_url(world: World, query: str = "") -> str:
    return reverse("notes:clip_new", args=[world.production.pk, world.rig.pk]) + query


def send(client: Client, world: World, data: bytes | None, query: str = "", **more: Any) -> Any:
    fields: dict[str, Any] = {"input": str(world.input.pk)} | more
    if data is not None:
        fields["file"] = SimpleUploadedFile("memo.wav", data, "audio/wav")
    accept = fields.pop("accept", "text/html")
    return client.post(new_url(world, query), fields, headers={"accept": accept})


def cut_url(world: World, sound: StoredSound, query: str = "") -> str:
    return reverse("notes:clip_cut", args=[world.production.pk, world.rig.pk, sound.pk]) + query


def cut(client: Client, world: World, sound: StoredSound, **more: Any) -> Any:
    fields = {"input": world.input.pk, "left": 1, "number": 1, "title": "Part"} | more
    return client.post(cut_url(world, sound), fields)


def words_of(response: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


SAID_AGAIN = "“memo” was here already: the same part of the same sound, for the same input."


def test_the_same_sound_for_the_same_input_is_one_clip(world: World, tech: Client) -> None:
    first, second = (send(tech, world, wav(1)) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert Clip.objects.count() == 1
    assert SAID_AGAIN in tech.get(second["Location"]).content.decode()
    sound = StoredSound.objects.get()
    for _ in range(2):
        assert cut(tech, world, sound, starts_s="0.25").status_code == 302
    assert Clip.objects.count() == 2  # another part of it is another clip


def test_a_short_recording_is_kept_in_one_step(world: World, tech: Client) -> None:
    song = Song.objects.create(production=world.production, title="Sedge Hour")
    section = Section.objects.create(song=song, name="Chorus")
    response = send(tech, world, wav(1, channels=2), section=section.pk, title="Bass in the chorus")
    clip = Clip.objects.get()
    assert response["Location"] == clip.get_absolute_url()
    assert (clip.name, clip.song, clip.section) == ("Bass in the chorus", song, section)
    assert (clip.left, clip.right, clip.brought_by) == (1, 2, world.tech)
    page = tech.get(clip.get_absolute_url())
    words = words_of(page)
    for figure in ("LUFS", "dBTP", "dBFS", "Hz", "Loudness range shorter than 3 s"):
        assert figure in words
    assert "1 kHz" in words
    html = page.content.decode()
    assert '<audio class="clip-player" controls preload="none"' in html
    assert reverse("notes:clip_sound", args=[world.production.pk, clip.pk, "preview"]) in html


def test_a_script_is_told_where_to_go_and_sees_the_errors(world: World, tech: Client) -> None:
    response = send(tech, world, wav(0.5), accept="application/json")
    there = Clip.objects.get().get_absolute_url()
    assert response["Location"] == there
    response = send(tech, world, wav(0.5), accept="application/json", request_key="a-key-of-a-page")
    answer = response.json()
    assert (answer["done"], answer["location"], answer["told"][-1]) == (True, there, SAID_AGAIN)
    response = send(tech, world, b"nothing of the kind", accept="application/json")
    assert "This is not a sound that can be read" in words_of(response)
    assert response["Content-Type"].startswith("text/html")


def test_a_take_of_many_channels_is_cut_in_a_second_step(world: World, tech: Client) -> None:
    wide = tone(3, channels=12)
    wide[:, 4] = 0
    response = send(tech, world, as_file(wide), take="Take 4")
    sound = StoredSound.objects.get()
    assert response["Location"].startswith(cut_url(world, sound))
    assert not Clip.objects.exists()
    page = tech.get(response["Location"])
    words = words_of(page)
    assert "12 channels, 48000 Hz" in words
    assert "5 silent" in words
    assert page.content.count(b"clip-wave") == 12
    assert b'value="Take 4"' in page.content
    answer = cut(tech, world, sound, left=3, right=4, starts_s="0:01.5", ends_s="2.25")
    clip = Clip.objects.get()
    assert answer["Location"] == clip.get_absolute_url()
    assert (clip.left, clip.right, float(clip.starts_s), float(clip.seconds)) == (3, 4, 1.5, 0.75)
    assert "0:01.5 to 0:02.25, channels 3 and 4 of 12" in words_of(tech.get(answer["Location"]))


def test_what_is_wrong_with_a_part_stands_beside_its_field(world: World, tech: Client) -> None:
    wide = tone(3, channels=3)
    wide[:, 2] = 0
    send(tech, world, as_file(wide))
    sound = StoredSound.objects.get()
    cases = [
        ({"starts_s": "9"}, "starts_s", "The sound lasts 3.00 s."),
        ({"starts_s": "2", "ends_s": "1"}, "ends_s", "The section ends before it begins."),
        ({"starts_s": "2", "ends_s": "4"}, "ends_s", "The sound lasts 3.00 s. Leave this empty"),
        ({"starts_s": "soon"}, "starts_s", "Write seconds, or minutes and seconds"),
        ({"starts_s": "1:75"}, "starts_s", "seconds go up to 59"),
        ({"number": 99}, "number", "The rig has changes 1 to"),
        ({"right": 1}, "right", "This is the first channel again."),
        ({"left": 40}, "left", "40"),
        ({"left": 3}, None, "This is silence"),
    ]
    for typed, field, said in cases:
        form = cut(tech, world, sound, **typed).context["form"]
        assert any(said in each for each in form.errors[field or "__all__"]), (typed, form.errors)
    assert not Clip.objects.exists()
    cut(tech, world, sound, left=3, silent_ok="on")
    assert Clip.objects.get().figures["integrated"] is None


def test_one_can_choose_the_part_of_a_short_sound(world: World, tech: Client) -> None:
    response = send(tech, world, wav(1), choose="1")
    assert cut_url(world, StoredSound.objects.get()) in response["Location"]


def test_a_clip_comes_later_than_its_note(world: World, tech: Client) -> None:
    note = hear(world, take="Take 2")
    note_page = reverse("notes:note", args=[world.production.pk, note.pk])
    link = new_url(world, f"?note={note.pk}")
    assert link in tech.get(note_page).content.decode()
    form = tech.get(link).context["form"]
    assert (form["note"].value(), form["take"].value()) == (str(note.pk), "Take 2")
    assert form["input"].value() == world.input.pk
    send(tech, world, wav(0.5), note=note.pk)
    clip = Clip.objects.get()
    assert clip.note == note
    assert f'aria-label="Play {clip.name}"' in tech.get(note_page).content.decode()


def test_recorder_words_fill_in_the_form(world: World, tech: Client) -> None:
    body = bext_chunk(
        description="Bass DI, take 7",
        originator="Recorder",
        date="2026-09-04",
        time="20:15:30",
        reference=72_930 * 48_000,
    )
    send(tech, world, with_chunk(wav(2, channels=3), body))
    sound = StoredSound.objects.get()
    page = tech.get(cut_url(world, sound))
    assert page.context["form"]["title"].value() == "Bass DI, take 7"
    assert "20:15:30 after midnight" in words_of(page)
    cut(tech, world, sound, starts_s="1", title="")
    clip = Clip.objects.get()
    assert clip.name == "Bass DI, take 7"
    assert clip.recorded_at is not None
    assert clip.recorded_at.isoformat() == "2026-09-04T20:15:31+00:00"


def test_changing_the_words_and_putting_away(world: World, tech: Client) -> None:
    clip = bring_clip(world)
    edit = reverse("notes:clip_edit", args=[world.production.pk, clip.pk])
    fields = {"name": "Anew", "input": world.input.pk, "number": 1, "version": 1}
    assert tech.post(edit, fields).status_code == 302
    clip.refresh_from_db()
    assert clip.name == "Anew"
    assert b"Someone else changed this" in tech.post(edit, fields).content
    tech.post(reverse("notes:clip_retire", args=[world.production.pk, clip.pk]))
    listed = reverse("notes:clips", args=[world.production.pk])
    assert clip.get_absolute_url() not in tech.get(listed).content.decode()
    assert b"Anew" in tech.get(clip.get_absolute_url()).content


def test_the_list_is_narrowed_to_an_input(world: World, tech: Client) -> None:
    bring_clip(world, title="Of the bass")
    listed = reverse("notes:clips", args=[world.production.pk])
    assert b"Of the bass" in tech.get(f"{listed}?input={world.input.pk}").content
    other = make_world("Another")
    response = tech.get(f"{listed}?input={other.input.pk}")
    assert response.status_code == 200


@pytest.mark.parametrize("where", ["list", "input", "note"])
def test_pages_ask_a_fixed_number_of_questions(
    world: World,
    tech: Client,
    where: str,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    note = hear(world)
    url = {
        "list": reverse("notes:clips", args=[world.production.pk]),
        "input": reverse("rigs:input", args=[world.production.pk, world.rig.pk, world.input.pk]),
        "note": reverse("notes:note", args=[world.production.pk, note.pk]),
    }[where]
    bring_clip(world, note=note)
    tech.get(url)
    with django_assert_max_num_queries(99) as one:
        tech.get(url)
    for hz in (200, 300, 500):
        bring_clip(world, as_file(tone(0.5, hz=hz)), note=note)
    with django_assert_max_num_queries(len(one)):
        assert tech.get(url).content.count(b"<audio") == 4


def test_who_may_bring_and_who_may_listen(world: World, client: Client) -> None:
    clip = bring_clip(world)
    for role, may in (("crew", False), ("manager", False), ("player", True), ("tech", True)):
        client.force_login(world.people[role])
        assert client.get(clip.get_absolute_url()).status_code == 200
        assert (client.get(new_url(world)).status_code == 200) is may
    other = make_world("Another")
    client.force_login(other.tech)
    assert client.get(clip.get_absolute_url()).status_code == 404
    stolen = reverse("notes:clip_cut", args=[other.production.pk, other.rig.pk, clip.sound_id])
    assert client.get(stolen).status_code == 404


def test_an_endless_upload_is_stopped_and_said(world: World, tech: Client, settings: Any) -> None:
    settings.UPLOAD_MAX_BYTES = settings.CLIP_MAX_BYTES = 100_000
    response = send(tech, world, wav(2))
    assert "0 MB is the most a sound may have" in words_of(response)
    assert not StoredSound.objects.exists()


def test_a_page_of_64_channels_is_light(world: World, tech: Client) -> None:
    rng = np.random.default_rng(5)
    noise = rng.uniform(-0.5, 0.5, (96_000, 64)) * rng.uniform(0.1, 1, (1, 64))
    send(tech, world, as_file(noise, subtype="PCM_16"))
    url = cut_url(world, StoredSound.objects.get())
    page = tech.get(url, headers={"accept-encoding": "gzip"})
    assert page["Content-Encoding"] == "gzip"
    assert len(page.content) < 100_000


def test_a_search_finds_it(world: World, tech: Client) -> None:
    bring_clip(world, title="Dead string", words="Listen to the twelfth fret.")
    hits = search(world.production, "twelfth", None).hits
    assert ["".join(piece.text for piece in hit.title) for hit in hits] == ["Clip: Dead string"]


def test_a_search_finds_it_by_its_file(world: World, tech: Client) -> None:
    bring_clip(world, title="Dead string", name="Ampstack take.wav")
    assert len(search(world.production, "ampstack", None).hits) == 1


def test_the_change_it_was_recorded_at_can_be_put_right(world: World, tech: Client) -> None:
    change_for(world, hear(world))
    world.rig.refresh_from_db()
    newest = world.rig.head_number
    body = bext_chunk(date=f"{clock.now():%Y-%m-%d}", time="00:00:00")
    clip = bring_clip(world, with_chunk(wav(1), body))
    assert clip.revision.number == newest
    first = Revision.objects.filter(rig=world.rig).earliest("number")
    Clip.objects.filter(pk=clip.pk).update(recorded_at=first.at)
    page = words_of(tech.get(clip.get_absolute_url()))
    assert f"By the clock it was recorded at change {first.number}. Which is right?" in page
    edit = reverse("notes:clip_edit", args=[world.production.pk, clip.pk])
    assert tech.get(edit).context["form"]["number"].value() == newest
    fields = {"name": "Anew", "input": world.input.pk, "version": 1}
    refused = tech.post(edit, fields | {"number": 99})
    assert refused.context["form"].errors["number"] == [f"The rig has changes 1 to {newest}."]
    clip.refresh_from_db()
    assert clip.revision.number == newest
    assert tech.post(edit, fields | {"number": first.number}).status_code == 302
    clip.refresh_from_db()
    assert clip.revision == first


def test_figures_of_an_older_method_are_measured_again_when_somebody_looks(
    world: World, tech: Client
) -> None:
    clip = bring_clip(world)
    Clip.objects.update(method="BS.1770/0", figures={})
    page = words_of(tech.get(clip.get_absolute_url()))
    assert f"{signed(clip.figures['integrated'])} LUFS" in page
    again = Clip.objects.get()
    assert (again.figures, again.method, again.version) == (clip.figures, clip.method, clip.version)
    Clip.objects.update(method="BS.1770/0")
    default_storage.delete(path_of(clip.working))
    page = words_of(tech.get(clip.get_absolute_url()))
    assert "Method: BS.1770/0. There is a newer one, but the sound cannot be read." in page


def test_a_channel_is_chosen_by_pressing_it(world: World, tech: Client) -> None:
    answer = send(tech, world, wav(10, channels=3), title="Pair")
    page = tech.get(answer["Location"])
    assert "A clip has one channel or a pair" in words_of(page)
    links = re.findall(r'clip-choose" href="([^"#]+)#id_left"', page.content.decode())
    assert len(links) == 3
    there = answer["Location"].split("?")[0] + links[2].replace("&amp;", "&")
    form = tech.get(there).context["form"]
    assert (form["left"].value(), form["title"].value()) == ("3", "Pair")


def test_a_silent_recording_says_why_it_was_not_kept(world: World, tech: Client) -> None:
    answer = send(tech, world, as_file(np.zeros((48_000, 1))))
    assert not Clip.objects.exists()
    page = words_of(tech.get(answer["Location"]))
    assert "It is silent: nothing in it is louder than −90 dBFS." in page
    assert "Save it even if it is silent" in page


def test_the_outlines_of_a_take_say_when(world: World, tech: Client) -> None:
    send(tech, world, wav(10, channels=3))
    page = words_of(tech.get(cut_url(world, StoredSound.objects.get())))
    assert page.count("0:00 0:02 0:05 0:08 0:10") == 3
