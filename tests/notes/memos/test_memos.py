"""Voice memos: brought with a note, kept as sounds, played, written out later, carried along.

How long a sound lasts is checked against libsndfile (soundfile) and libav (av), which read what is
served; the digests are those of Python's hashlib (FIPS 180-4).
"""

from __future__ import annotations

import hashlib
import io
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import soundfile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from core.clock import now
from core.models import Production
from core.stored_files import open_stored
from notes.archive.load import load
from notes.archive.writer import export
from notes.clips import upkeep
from notes.clips.storage import broken_clips, path_of
from notes.handover.state import note_data
from notes.memos.prepare import LONGEST_S
from notes.models import EarlierWords, Note, NoteMemo, StoredSound
from notes.queries import notes_of
from tests.notes.archive.test_round_trip import forget
from tests.support.api import api
from tests.support.listening import change_for
from tests.support.pages import queries_of
from tests.support.sounds import wav
from tests.support.world import World

KEY = "0f1e2d3c-memo-0001"


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def form(world: World) -> str:
    return reverse("notes:note_new", args=[world.production.pk, world.rig.pk])


def memo_file(seconds: float = 2.0, name: str = "memo.wav") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, wav(seconds), "audio/wav")


def write(client: Client, world: World, **typed: Any) -> Any:
    client.force_login(world.engineer)
    posting = {"verdict": "adjust", "said_by_player": str(world.player.pk)}
    return client.post(form(world), posting | typed)


def with_memo(client: Client, world: World, **typed: Any) -> Note:
    write(client, world, memo=memo_file(), **typed)
    return Note.objects.get()


def memo_of(note: Note) -> NoteMemo:
    return NoteMemo.objects.get(note=note)


def at(world: World, name: str, *more: Any) -> str:
    return reverse(f"notes:{name}", args=[world.production.pk, *more])


def test_a_memo_is_a_note_without_words(client: Client, world: World) -> None:
    note = with_memo(client, world)
    assert (note.words, note.said_by_player) == ("", world.player)
    memo = NoteMemo.objects.get()
    assert memo.note == note
    assert memo.sound.sha256 == hashlib.sha256(wav(2.0)).hexdigest()
    assert str(memo) == "voice memo, 0:02"
    page = client.get(note.get_absolute_url()).content.decode()
    assert "Voice memo, 0:02" in page
    assert at(world, "note_memo_sound", memo.pk) in page


def test_it_is_played_as_a_whole_and_in_parts(client: Client, world: World) -> None:
    url = at(world, "note_memo_sound", memo_of(with_memo(client, world)).pk)
    whole = client.get(url)
    data = b"".join(whole.streaming_content)  # type: ignore[attr-defined]
    assert whole.headers["Content-Type"] == "audio/mp4"
    with av.open(io.BytesIO(data)) as played:
        assert float(played.duration) / 1e6 == pytest.approx(2.0, abs=0.1)
    part = client.get(url, headers={"Range": "bytes=4-7"})
    assert (part.status_code, b"".join(part.streaming_content)) == (206, data[4:8])  # type: ignore[attr-defined]


def test_without_a_decoder_of_aac_it_comes_as_flac(client: Client, world: World) -> None:
    """Read by libsndfile; what libav makes of the AAC, but for what 16 bits cannot say."""
    memo = memo_of(with_memo(client, world))
    url = at(world, "note_memo_instead", memo.pk)
    whole = client.get(url)
    data = b"".join(whole.streaming_content)  # type: ignore[attr-defined]
    assert whole.headers["Content-Type"] == "audio/flac"
    heard, rate = soundfile.read(io.BytesIO(data))
    assert (rate, len(heard) / rate) == (48_000, pytest.approx(2.0, abs=0.1))
    small = b"".join(client.get(at(world, "note_memo_sound", memo.pk)).streaming_content)  # type: ignore[attr-defined]
    with av.open(io.BytesIO(small)) as packed:
        frames = [frame.to_ndarray()[0] for frame in packed.decode(audio=0)]
    assert np.abs(heard - np.concatenate(frames)).max() <= 2**-15
    part = client.get(url, headers={"Range": "bytes=4-7"})
    assert b"".join(part.streaming_content) == data[4:8]  # type: ignore[attr-defined]
    client.force_login(world.outsider)
    assert client.get(url).status_code == 404


def test_who_is_not_in_the_production_does_not_hear_it(client: Client, world: World) -> None:
    url = at(world, "note_memo_sound", memo_of(with_memo(client, world)).pk)
    client.force_login(world.outsider)
    assert client.get(url).status_code == 404


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"no sound", "This is not a sound that can be read."),
        (b"%PDF-1.7", "This is a PDF."),
        (wav(2.0)[:30], "The sound is damaged or not complete."),
        (b"", "The file is empty."),
    ],
)
def test_what_is_no_sound_is_said_at_its_field_and_nothing_is_written(
    client: Client, world: World, data: bytes, words: str
) -> None:
    response = write(client, world, memo=SimpleUploadedFile("m.wav", data), words="Too boomy.")
    assert response.context["form"].errors["memo"][0].startswith(words)
    assert "Too boomy.</textarea>" in response.content.decode()
    assert not Note.objects.exists()
    assert not StoredSound.objects.exists()


def test_what_lasts_too_long_is_sent_to_the_clips(client: Client, world: World) -> None:
    long = SimpleUploadedFile("memo.wav", wav(LONGEST_S + 1, rate=8000), "audio/wav")
    errors = write(client, world, memo=long).context["form"].errors
    assert errors["memo"] == [
        "A voice memo may last 5 minutes at most. Upload what is longer as a clip."
    ]


def test_a_form_that_comes_back_says_so_of_its_memo(client: Client, world: World) -> None:
    response = write(client, world, memo=memo_file(), verdict="")
    assert response.context["form"].errors["memo"] == [
        "Record the memo or pick its file again: a page that comes back cannot hold it."
    ]


def test_under_one_key_one_note_with_one_memo(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    for _ in range(2):
        client.post(
            form(world),
            {"verdict": "adjust", "memo": memo_file()},
            headers={"Idempotency-Key": f'"{KEY}"'},
        )
    assert (Note.objects.count(), NoteMemo.objects.count()) == (1, 1)


def test_the_same_recording_with_two_notes_is_kept_once(client: Client, world: World) -> None:
    for _ in range(2):
        write(client, world, memo=memo_file())
    assert (Note.objects.count(), StoredSound.objects.count()) == (2, 1)


def test_its_files_stay_when_unused_ones_go(client: Client, world: World) -> None:
    memo = memo_of(with_memo(client, world))
    StoredSound.objects.update(brought_at=now() - 3 * upkeep.WAITS)
    assert list(upkeep.drop_unused(now() + 3 * upkeep.WAITS)) == []
    open_stored(path_of(memo.preview), memo.preview, "The memo").close()
    assert list(broken_clips(world.production)) == []
    default_storage.delete(path_of(memo.preview))
    assert [each.path for each in broken_clips(world.production)] == [path_of(memo.preview)]


# Words later


def test_its_author_writes_it_out_later(client: Client, world: World) -> None:
    note = with_memo(client, world)
    url = at(world, "note_write_out", note.pk)
    assert url in client.get(note.get_absolute_url()).content.decode()
    client.post(url, {"words": "Too much wool."})
    note.refresh_from_db()
    assert (note.words, note.said_by_player) == ("Too much wool.", world.player)
    page = client.get(note.get_absolute_url()).content.decode()
    assert "Too much wool." in page
    assert "Voice memo, 0:02" in page
    assert "What it said before" in page
    assert url not in page


def test_also_where_a_change_rests_on_it(client: Client, world: World) -> None:
    note = with_memo(client, world)
    change_for(world, note)
    client.post(at(world, "note_write_out", note.pk), {"words": "Too much wool."})
    note.refresh_from_db()
    assert note.words == "Too much wool."


def test_written_out_once_and_by_nobody_else(client: Client, world: World) -> None:
    note = with_memo(client, world)
    url = at(world, "note_write_out", note.pk)
    client.force_login(world.tech)
    client.post(url, {"words": "Mine."})
    assert not EarlierWords.objects.exists()
    client.force_login(world.engineer)
    client.post(url, {"words": "First."})
    answer = client.post(url, {"words": "Second."})
    assert "This memo is written out already." in answer.content.decode()
    note.refresh_from_db()
    assert note.words == "First."


def test_a_rewording_keeps_what_it_said_before(client: Client, world: World) -> None:
    note = with_memo(client, world, words="Boomy.")
    url = at(world, "note_edit", note.pk)
    posting = {"verdict": "adjust", "said_by_player": str(world.player.pk), "version": 1}
    client.post(url, posting | {"words": "Too boomy."})
    client.post(url, posting | {"words": "Too boomy.", "take": "Take 2", "version": 2})
    assert [each.words for each in EarlierWords.objects.all()] == ["Boomy."]


# Elsewhere


def test_handovers_and_programs_have_it(client: Client, world: World) -> None:
    note = with_memo(client, world)
    memo, shown = memo_of(note), notes_of(world.production).get()
    assert note_data(shown)["memo"]["length"] == "0:02"
    program = api(world.engineer)
    said = program.get(reverse("api-note", args=[note.pk])).json()["memo"]
    assert said == {
        "id": str(memo.pk),
        "sha256": hashlib.sha256(wav(2.0)).hexdigest(),
        "seconds": 2.0,
    }
    heard = program.get(reverse("api-note-memo-sound", args=[memo.pk]))
    assert heard.headers["Content-Type"] == "audio/mp4"


def test_an_archive_carries_it_byte_for_byte(client: Client, world: World, tmp_path: Path) -> None:
    note = with_memo(client, world)
    client.post(at(world, "note_write_out", note.pk), {"words": "Too much wool."})
    export(world.production, tmp_path / "a.zip")
    rows = list(NoteMemo.objects.values("id", "note", "sound__sha256", "preview", "preview_bytes"))
    earlier = list(EarlierWords.objects.values("note", "words", "until"))
    forget()
    load(tmp_path / "a.zip")
    memos = NoteMemo.objects.values("id", "note", "sound__sha256", "preview", "preview_bytes")
    assert list(memos) == rows
    assert list(EarlierWords.objects.values("note", "words", "until")) == earlier
    assert list(broken_clips()) == []
    export(Production.objects.get(), tmp_path / "b.zip")
    assert (tmp_path / "b.zip").read_bytes() == (tmp_path / "a.zip").read_bytes()


@pytest.mark.parametrize("count", [2, 6])
def test_a_list_of_them_takes_a_fixed_number_of_queries(
    client: Client, world: World, count: int
) -> None:
    for number in range(count):
        write(client, world, memo=memo_file(0.5 + number / 10))
    url = at(world, "index")
    assert queries_of(client, url) <= 25  # as many as of notes without any
    assert client.get(url).content.decode().count("Voice memo, ") == count
