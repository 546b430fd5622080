"""A recording of a whole session: brought in one file or several, its index corrected, cut by
take."""

from __future__ import annotations

import threading
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from core.models import Song
from notes.clips.upkeep import drop_unused
from notes.models import Clip, ListeningSession, Note, Recording, StoredSound, Take
from notes.takes import services
from notes.takes.index import parts_of, takes_of
from tests.notes.clips.test_bext import bext_chunk, with_chunk
from tests.notes.clips.test_clip_pages import words_of
from tests.notes.takes.rehearsal import BORDERS_S, WHOLE_S, rehearsal
from tests.support.listening import hear
from tests.support.sounds import as_file, bring_recording, samples
from tests.support.world import World


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return rehearsal(tmp_path_factory.mktemp("sound"), channels=3).read_bytes()


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def session(world: World) -> ListeningSession:
    return ListeningSession.objects.create(
        production=world.production, name="Rehearsal", held_on=date(2026, 11, 2)
    )


@pytest.fixture
def recording(world: World, session: ListeningSession, three: bytes) -> Recording:
    return bring_recording(world, session, three)


@pytest.fixture
def tech(world: World, client: Client) -> Client:
    client.force_login(world.tech)
    return client


def at(name: str, world: World, *more: Any) -> str:
    return reverse(f"notes:{name}", args=[world.production.pk, *more])


def spans(recording: Recording) -> list[tuple[float, float]]:
    return [(float(take.starts_s), float(take.ends_s)) for take in takes_of(recording)]


def told(refused: pytest.ExceptionInfo[ValidationError]) -> str:
    return " ".join(refused.value.messages)


def test_its_takes_are_listed_and_add_up(recording: Recording) -> None:
    found = spans(recording)
    assert len(found) == len(BORDERS_S)
    assert np.abs(np.array(found) - np.array(BORDERS_S)).max() <= 1
    parts = parts_of(recording, takes_of(recording))
    assert sum(part.seconds for part in parts) == recording.seconds == Decimal(str(WHOLE_S))


def test_songs_are_proposed_in_the_order_of_the_set(
    world: World, session: ListeningSession, three: bytes
) -> None:
    for title in ("Sedge Hour", "Alder Ebb", "Ninety Lamps"):
        Song.objects.create(production=world.production, title=title)
    takes = takes_of(bring_recording(world, session, three))
    assert [str(take) for take in takes] == [
        "Alder Ebb, take 1",
        "Ninety Lamps, take 1",
        "Sedge Hour, take 1",
    ]
    assert [take.song_from for take in takes] == ["order"] * 3
    assert all(take.by is None for take in takes)


def test_notes_of_the_session_tell_the_song(
    world: World, session: ListeningSession, three: bytes
) -> None:
    song = Song.objects.create(production=world.production, title="Sedge Hour")
    began = timezone.make_aware(datetime(2026, 11, 2, 14, 0))
    note = hear(world, "The low D booms.", song=song, session=session)
    # 40 s after it began: in the second take.
    Note.objects.filter(pk=note.pk).update(written_at=began + timedelta(seconds=40))
    takes = takes_of(bring_recording(world, session, three, began_at=began))
    assert [take.song for take in takes] == [None, song, None]
    assert takes[1].song_from == "note"


def test_files_of_one_channel_each_are_one_recording(
    world: World, session: ListeningSession, three: bytes, tmp_path: Path
) -> None:
    (tmp_path / "three.wav").write_bytes(three)
    sound, rate = soundfile.read(tmp_path / "three.wav")
    first = bring_recording(world, session, as_file(sound[:, :1], rate), file_name="01 kick.wav")
    both = bring_recording(
        world, session, as_file(sound[:, 1:2], rate), file_name="02.wav", together=first
    )
    assert both == first
    assert first.files.count() == 2
    assert len(takes_of(first)) == 3
    with pytest.raises(ValidationError) as refused:
        bring_recording(world, session, as_file(sound[:, :1], rate), together=first)
    assert "has this file already" in told(refused)
    with pytest.raises(ValidationError) as refused:
        bring_recording(world, session, as_file(sound[: 90 * rate, 2:], rate), together=first)
    assert "It lasts 1:30, and the others 1:38: they did not run together." in told(refused)
    assert first.files.count() == 2
    assert StoredSound.objects.count() == 2


def test_clocks_that_disagree_did_not_run_together(
    world: World, session: ListeningSession, three: bytes
) -> None:
    chunk = bext_chunk(date="2026-11-02", time="14:00:00")
    later = bext_chunk(date="2026-11-02", time="14:20:00")
    first = bring_recording(world, session, with_chunk(three, chunk))
    assert first.began_at is not None
    with pytest.raises(ValidationError) as refused:
        bring_recording(world, session, with_chunk(three, later), together=first)
    assert "it began at 14:20:00, and the others at 14:00:00" in told(refused)


def test_what_is_too_large_or_no_sound_is_refused(
    world: World, session: ListeningSession, three: bytes, tech: Client, settings: Any
) -> None:
    url = at("recording_new", world)
    settings.CLIP_MAX_BYTES = 1024 * 1024
    for data, words in (
        (three, "The file has 4 MB; 1 MB is the most a sound may have."),
        (b"%PDF-1.7 nothing", "This is a PDF."),
    ):
        file = SimpleUploadedFile("all.wav", data, "audio/wav")
        answer = tech.post(url, {"file": file, "session": session.pk})
        assert words in words_of(answer)
    settings.CLIP_MAX_BYTES, settings.RECORDING_MAX_SECONDS = 100_000_000, 60
    file = SimpleUploadedFile("all.wav", three, "audio/wav")
    answer = tech.post(url, {"file": file, "session": session.pk})
    assert "The sound is longer than 60 seconds." in words_of(answer)
    assert not Recording.objects.exists()
    assert not StoredSound.objects.exists()


def test_sent_by_the_form_and_shown(
    world: World, session: ListeningSession, three: bytes, tech: Client
) -> None:
    file = SimpleUploadedFile("monday.wav", three, "audio/wav")
    answer = tech.post(at("recording_new", world), {"file": file, "session": session.pk})
    made = Recording.objects.get()
    assert answer["Location"] == made.get_absolute_url()
    page = words_of(tech.get(made.get_absolute_url()))
    assert "1:38: 3 takes, 1:03" in page
    assert page.count("Pause,") == 4
    assert "monday" in words_of(tech.get(at("session", world, session.pk)))
    assert "3 takes" in words_of(tech.get(at("recordings", world)))


def test_a_border_is_corrected_and_never_over_another(
    world: World, recording: Recording, tech: Client
) -> None:
    first, second, _ = takes_of(recording)
    song = Song.objects.create(production=world.production, title="Sedge Hour")
    typed = {"starts_s": "0:05", "ends_s": "0:29.5", "song": song.pk, "name": "slow", "version": 1}
    url = at("take", world, first.pk)
    assert tech.post(url, typed)["Location"] == recording.get_absolute_url()
    first.refresh_from_db()
    assert (first.starts_s, first.ends_s) == (5, Decimal("29.5"))
    assert (first.by, first.song, first.song_from) == (world.tech, song, "person")
    for typed_end, words in (
        ("0:40", "This overlaps with “take 1"),
        ("2:00", "The recording lasts 1:38"),
        ("0:05.5", "A take ends a second after it begins, at least."),
    ):
        refused = tech.post(url, typed | {"ends_s": typed_end, "version": 2})
        assert words in words_of(refused), typed_end
    first.refresh_from_db()
    assert first.ends_s == Decimal("29.5")
    # Two who change it at once: the second is told.
    assert "Someone else changed this" in words_of(tech.post(url, typed | {"name": "fast"}))
    assert str(takes_of(recording)[0]) == "Sedge Hour, take 1, slow"
    assert second.pk == takes_of(recording)[1].pk


def test_what_a_person_corrected_stays_when_a_file_joins(
    world: World, session: ListeningSession, recording: Recording, three: bytes, tmp_path: Path
) -> None:
    first, second, _ = takes_of(recording)
    services.take_out(second, version=1)
    services.split(first, Decimal(18), by=world.tech)
    (tmp_path / "three.wav").write_bytes(three)
    sound, rate = soundfile.read(tmp_path / "three.wav")
    bring_recording(world, session, as_file(sound[:, :1], rate), together=recording)
    found = spans(recording)
    assert found[0][1] == found[1][0] == 18.0
    # What was taken out is found again: only what is there can be kept.
    assert len(found) == 4


def test_split_joined_and_taken_out(world: World, recording: Recording, tech: Client) -> None:
    first, _, third = takes_of(recording)
    refused = tech.post(at("take_split", world, first.pk), {"at_s": "1:30"}, follow=True)
    assert "Write a time inside it" in words_of(refused)
    tech.post(at("take_split", world, first.pk), {"at_s": "0:20"})
    assert len(spans(recording)) == 4
    tech.post(at("take_join", world, first.pk))
    assert len(spans(recording)) == 3
    assert spans(recording)[0][1] == pytest.approx(BORDERS_S[0][1], abs=1)
    refused = tech.post(at("take_join", world, third.pk), follow=True)
    assert "No take follows this one." in words_of(refused)
    refused = tech.post(at("take_out", world, third.pk), {"version": 7}, follow=True)
    assert "Somebody else changed this take meanwhile" in words_of(refused)
    tech.post(at("take_out", world, third.pk), {"version": 1})
    assert len(spans(recording)) == 2
    pause = parts_of(recording, takes_of(recording))[-1]
    url = f"{at('take_new', world, recording.pk)}?from=1:10&to=1:20"
    assert 'value="1:10"' in tech.get(url).content.decode()
    tech.post(url, {"starts_s": "1:10", "ends_s": "1:20"})
    assert spans(recording)[-1] == (70.0, 80.0)
    assert pause.starts_s < 70


def test_a_clip_is_cut_by_take_and_channel(
    world: World, recording: Recording, three: bytes, tech: Client, tmp_path: Path
) -> None:
    take = takes_of(recording)[1]
    file = recording.files.get()
    url = at("take_clip", world, take.pk)
    page = tech.get(url).content.decode()
    assert "Channel 3, all of it.wav" in page
    typed = {"channel": f"{file.pk}-2", "input": world.input.pk, "from_s": "0:02", "to_s": "0:05"}
    answer = tech.post(url, typed)
    clip = Clip.objects.get()
    assert answer["Location"] == clip.get_absolute_url()
    assert (clip.left, clip.seconds, clip.starts_s) == (2, 3, take.starts_s + 2)
    assert (clip.session, clip.take) == (recording.session, "Take 2, 0:02 to 0:05")
    # The very samples of that channel and time, read by libsndfile.
    (tmp_path / "three.wav").write_bytes(three)
    sound, rate = soundfile.read(tmp_path / "three.wav")
    first = round(float(clip.starts_s) * rate)
    heard, _ = samples(clip)
    assert np.abs(heard[:, 0] - sound[first : first + 3 * rate, 1]).max() < 1e-4
    # The channel is known by its input from now on, which need not be chosen again.
    assert f"Channel 2, all of it.wav: {world.input.name}" in tech.get(url).content.decode()
    tech.post(url, typed | {"input": "", "from_s": "0:06", "to_s": "0:08"})
    assert Clip.objects.latest("brought_at").input == world.input
    unknown = tech.post(url, typed | {"channel": f"{file.pk}-3", "input": ""})
    assert "nothing is known of this channel yet" in words_of(unknown)
    for wrong, words in (
        ({"from_s": "0:40", "to_s": ""}, "The take lasts"),
        ({"to_s": "0:01"}, "The part ends before it begins."),
    ):
        assert words in words_of(tech.post(url, typed | wrong))


def test_the_rig_is_as_it_stood_when_it_was_recorded(
    world: World, session: ListeningSession, three: bytes
) -> None:
    recording = bring_recording(world, session, three, began_at=timezone.now())
    sound = recording.files.get().sound
    world.turn("3:00")
    world.rig.refresh_from_db()
    newest = world.rig.head_number

    def number(channel: int) -> int:
        wanted = services.Wanted(input=world.input, sound=sound, channel=channel, to_s=Decimal(3))
        take = takes_of(Recording.objects.get(pk=recording.pk))[0]
        return services.cut_clip(take, wanted, by=world.tech).revision.number

    # The first take begins eight seconds into it, after the change; then a moment before it.
    assert number(1) == newest
    changed_at = world.rig.revisions.get(number=newest).at
    before = timedelta(seconds=float(takes_of(recording)[0].starts_s), milliseconds=1)
    Recording.objects.update(began_at=changed_at - before)
    assert number(2) == newest - 1
    # Where nobody knows when it was, it is as the rig is when it is cut.
    Recording.objects.update(began_at=None)
    assert number(3) == newest


def test_a_sound_of_a_recording_is_not_dropped(recording: Recording) -> None:
    later = timezone.now() + timedelta(days=30)
    assert list(drop_unused(later)) == []
    assert StoredSound.objects.count() == 1


def test_a_fixed_number_of_queries(
    world: World,
    recording: Recording,
    tech: Client,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    with django_assert_max_num_queries(12) as few:
        tech.get(recording.get_absolute_url())
    first = takes_of(recording)[0]
    for second in range(10, 20, 2):
        services.split(takes_of(recording)[-1], Decimal(75 + second // 2), by=world.tech)
    assert first.pk
    with django_assert_max_num_queries(len(few)):
        tech.get(recording.get_absolute_url())


def test_from_a_disk_without_a_limit_of_bytes(
    world: World, session: ListeningSession, tmp_path: Path, settings: Any
) -> None:
    settings.CLIP_MAX_BYTES = 1000
    path = rehearsal(tmp_path)
    call_command("bring_recording", str(session.pk), str(path), by=world.engineer.email, name="All")
    assert len(takes_of(Recording.objects.get(name="All"))) == 3
    for files, by, words in (
        ([path], world.outsider.email, "is not in the production"),
        ([tmp_path / "none.wav"], world.engineer.email, "is no file"),
        ([path], world.engineer.email, "This file is here already"),
    ):
        with pytest.raises(CommandError, match=words):
            call_command("bring_recording", str(session.pk), *map(str, files), by=by)


def test_over_the_api(world: World, session: ListeningSession, three: bytes, tech: Client) -> None:
    url = reverse("api-recordings", args=[world.production.pk])
    file = SimpleUploadedFile("all.wav", three, "audio/wav")
    made = tech.post(url, {"file": file, "session": str(session.pk), "title": "Monday"})
    assert made.status_code == 201, made.content
    body = made.json()
    assert (body["name"], body["seconds"], len(body["takes"])) == ("Monday", "98", 3)
    assert tech.get(url).json()["results"][0]["id"] == body["id"]
    one = reverse("api-recording", args=[body["id"]])
    assert tech.get(one).json()["takes"] == body["takes"]
    take = reverse("api-take", args=[body["takes"][0]["id"]])
    sent = {"ends_s": "25.5", "name": "slow"}
    changed = tech.patch(take, sent, content_type="application/json")
    assert (changed.json()["ends_s"], changed.json()["name"]) == ("25.5", "slow")
    over = tech.patch(take, {"ends_s": "50"}, content_type="application/json")
    assert over.status_code == 400
    assert "overlaps" in over.content.decode()
    clips = reverse("api-take-clips", args=[body["takes"][0]["id"]])
    wanted = {
        "input": str(world.input.pk),
        "sound": body["files"][0]["id"],
        "channel": 3,
        "to_s": "4",
    }
    cut = tech.post(clips, wanted, content_type="application/json")
    assert (cut.status_code, cut.json()["left"], cut.json()["seconds"]) == (201, 3, "4")
    assert tech.post(clips, wanted, content_type="application/json").status_code == 200
    assert tech.delete(take).status_code == 204
    assert len(tech.get(one).json()["takes"]) == 2


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time")
def test_two_who_split_at_once_leave_no_overlap(
    world: World, session: ListeningSession, three: bytes
) -> None:
    recording = bring_recording(world, session, three)
    take = takes_of(recording)[1]

    def split(second: int) -> None:
        try:
            services.split(take, Decimal(second), by=world.tech)
        except ValidationError:
            pass
        finally:
            connection.close()

    threads = [threading.Thread(target=split, args=[second]) for second in (45, 50, 55)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = Take.objects.filter(recording=recording).order_by("starts_s")
    rows = list(found.values_list("starts_s", "ends_s"))
    assert all(one[1] <= other[0] for one, other in zip(rows, rows[1:], strict=False))
