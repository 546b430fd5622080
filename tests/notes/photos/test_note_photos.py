"""Photos of notes: with a new note, later, shown, removed, kept once, and to members only."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from core.models import SearchEntry
from core.offline import once
from notes.models import ListeningSession, Note, NotePhoto
from notes.photos.services import MOST, add_photos
from notes.trials.services import open_trial
from rigs.models import Revision, StoredPhoto
from rigs.photos import forms as photo_forms
from rigs.photos.storage import open_file
from tests.notes.photos.support import address, with_photo
from tests.rigs.photos.pictures import BLUE, RED, encoded, exif
from tests.support.everything import picture
from tests.support.listening import change_for, hear
from tests.support.pages import queries_of
from tests.support.world import World, make_world

KEY = "4f1c2f2e-92c1-4cc5-a3a8-d51a4be1f0f7"
HEARD = {"verdict": "adjust", "words": "It buzzes."}


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def file(colour: Any = RED, name: str = "amp.jpg", **more: Any) -> SimpleUploadedFile:
    data = encoded(Image.new("RGB", (90, 60), colour), **more)
    return SimpleUploadedFile(name, data, "image/jpeg")


def write(client: Client, world: World, who: str = "engineer", **typed: Any) -> Any:
    client.force_login(world.people[who])
    url = reverse("notes:note_new", args=[world.production.pk, world.rig.pk])
    return client.post(url, HEARD | typed)


def test_a_note_is_written_with_what_was_taken_and_what_was_picked(
    client: Client, world: World
) -> None:
    changes = Revision.objects.count()
    response = write(
        client,
        world,
        "player",
        camera=file("green", "taken.jpg"),
        photos=[file(RED, "a.jpg"), file(BLUE, "b.jpg")],
        photo_caption="Where it buzzes",
    )
    note = Note.objects.get()
    photos = list(note.photos.all())
    assert response.headers["Location"] == note.get_absolute_url()
    assert [each.position for each in photos] == [0, 1, 2]
    assert {each.caption for each in photos} == {"Where it buzzes"}
    assert {each.added_by for each in photos} == {world.people["player"]}
    assert Revision.objects.count() == changes  # of the note, not of the rig


def test_where_a_photo_was_taken_is_removed(client: Client, world: World) -> None:
    write(client, world, photos=file(RED, exif=exif(6)))
    stored, sha256 = open_file(StoredPhoto.objects.get())
    with stored, Image.open(io.BytesIO(stored.read())) as image:
        assert not image.getexif()
        assert image.size == (60, 90)  # upright
    assert sha256 == StoredPhoto.objects.get().sha256


def test_a_broken_file_keeps_the_words_and_writes_nothing(client: Client, world: World) -> None:
    response = write(client, world, photos=SimpleUploadedFile("a.jpg", b"no picture"))
    assert "It buzzes.</textarea>" in response.content.decode()
    assert "a.jpg: This is not a JPEG" in response.content.decode()
    assert not Note.objects.exists()
    assert not StoredPhoto.objects.exists()


def test_a_form_that_comes_back_says_that_photos_are_to_be_picked_again(
    client: Client, world: World
) -> None:
    response = write(client, world, photos=file(), words=" ")
    assert response.context["form"].errors["photos"] == [
        "Pick the photos again: a page that comes back cannot hold them."
    ]
    assert not StoredPhoto.objects.exists()


def test_under_one_key_one_note_with_one_photo(client: Client, world: World) -> None:
    for _ in range(2):
        client.force_login(world.engineer)
        client.post(
            reverse("notes:note_new", args=[world.production.pk, world.rig.pk]),
            {**HEARD, "photos": file()},
            headers={"Idempotency-Key": f'"{KEY}"'},
        )
    assert (Note.objects.count(), NotePhoto.objects.count()) == (1, 1)


def test_pictures_are_prepared_once_and_before_the_transaction(
    client: Client, world: World, monkeypatch: Any
) -> None:
    """Whoever else writes meanwhile does not wait for it: on SQLite a transaction locks all."""
    order: list[str] = []
    prepare, claim = photo_forms.prepare, once.claim_key  # type: ignore[attr-defined]

    def prepared(*args: Any, **more: Any) -> Any:
        order.append("prepared")
        return prepare(*args, **more)

    def claimed(*args: Any) -> Any:
        order.append("claimed")
        return claim(*args)

    monkeypatch.setattr(photo_forms, "prepare", prepared)
    monkeypatch.setattr(once, "claim_key", claimed)
    client.force_login(world.engineer)
    client.post(
        reverse("notes:note_new", args=[world.production.pk, world.rig.pk]),
        {**HEARD, "photos": [file(RED), file(BLUE)]},
        headers={"Idempotency-Key": f'"{KEY}"'},
    )
    assert order == ["prepared", "prepared", "claimed"]
    assert NotePhoto.objects.count() == 2


def test_a_follow_up_brings_photos_and_a_rewording_none(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    edit = client.get(address(world, "note_edit", note.pk)).content.decode()
    assert 'type="file"' not in edit
    change = change_for(world, note)
    url = reverse("notes:note_follow", args=[world.production.pk, note.pk, change.number])
    client.post(url, {**HEARD, "outcome": "helped", "photos": file()})
    assert NotePhoto.objects.get().note.follows == change


def test_photos_come_later_and_the_same_bytes_once(client: Client, world: World) -> None:
    note, url = hear(world), ""
    client.force_login(world.tech)
    url = address(world, "note_photos_new", note.pk)
    refused = client.post(url, {})
    assert "Take a photo or pick at least one." in refused.content.decode()
    for said in ("The photo is added.", "The note had one of them already."):
        told = client.post(url, {"photos": file(), "photo_caption": "x"}, follow=True)
        assert said in told.content.decode()
    assert NotePhoto.objects.count() == 1


def test_a_note_takes_no_more_than_its_most(client: Client, world: World) -> None:
    note = hear(world)
    stored = [
        StoredPhoto.objects.create(
            production=world.production,
            sha256=f"{n:064}",
            thumb_sha256=f"{n:064}",
            width=1,
            height=1,
            bytes=1,
            taken_by=world.tech,
        )
        for n in range(MOST)
    ]
    for n, image in enumerate(stored):
        NotePhoto.objects.create(note=note, image=image, position=n, added_by=world.tech)
    client.force_login(world.tech)
    response = client.post(address(world, "note_photos_new", note.pk), {"photos": file()})
    assert f"A note has {MOST} photos at most" in response.content.decode()
    assert NotePhoto.objects.count() == MOST


@pytest.mark.parametrize(
    ("who", "status"),
    [("engineer", 200), ("tech", 200), ("manager", 200), ("player", 302), ("crew", 403)],
)
def test_author_adder_and_manager_remove_a_photo_and_the_note_says_so(
    client: Client, world: World, who: str, status: int
) -> None:
    """The engineer wrote the note, the tech added the photo."""
    photo = with_photo(world)
    client.force_login(world.people[who])
    url = address(world, "note_photo_remove", photo.pk)
    page = client.get(photo.note.get_absolute_url()).content.decode()
    assert (url in page) == (status == 200)
    assert client.get(url).status_code == status
    client.post(url)
    photo.refresh_from_db()
    assert (photo.removed_by is not None) == (status == 200)
    if status == 200:
        first = photo.removed_at
        client.post(url)
        photo.refresh_from_db()
        assert photo.removed_at == first
        page = " ".join(client.get(photo.note.get_absolute_url()).content.decode().split())
        assert f"was removed by {world.people[who]}" in page
        assert address(world, "note_photo_file", photo.pk) not in page


def test_what_was_removed_may_be_added_again(world: World) -> None:
    photo = with_photo(world)
    photo.removed_at, photo.removed_by = photo.added_at, world.tech
    photo.save()
    assert add_photos(photo.note, [picture()], by=world.tech).new == 1
    assert [each.position for each in photo.note.photos.all()] == [0, 1]


def test_only_members_see_it(client: Client, world: World) -> None:
    photo = with_photo(world)
    url = address(world, "note_photo_file", photo.pk)
    client.force_login(world.people["crew"])
    for query in ("", "?size=thumb"):
        response = client.get(url + query)
        assert response.headers["Content-Type"] == "image/webp"
        assert "private" in response.headers["Cache-Control"]
    client.force_login(make_world("Elsewhere").engineer)
    assert client.get(url).status_code == 404


def test_a_photo_is_of_its_own_production(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    photo = with_photo(other)
    client.force_login(world.engineer)
    for name in ("note_photo_file", "note_photo_remove"):
        assert client.get(address(world, name, photo.pk)).status_code == 404


@pytest.mark.parametrize("place", ["index", "note", "rig", "input", "session", "timeline", "trial"])
def test_it_stands_wherever_its_note_stands(client: Client, world: World, place: str) -> None:
    session = ListeningSession.objects.create(
        production=world.production, name="Rehearsal", held_on="2026-09-01"
    )
    note = hear(world, session=session)
    trial = open_trial(input=world.input, question="Less?", by=world.engineer, because_of=[note])
    add_photos(note, [picture()], caption="Fret 12", by=world.tech)
    here = world.production.pk
    pages = {
        "index": reverse("notes:index", args=[here]),
        "note": note.get_absolute_url(),
        "rig": reverse("rigs:rig_open", args=[here, world.rig.pk]),
        "input": reverse("rigs:input", args=[here, world.rig.pk, world.input.pk]),
        "session": reverse("notes:session", args=[here, session.pk]),
        "timeline": reverse("notes:timeline", args=[here]),
        "trial": trial.get_absolute_url(),
    }
    client.force_login(world.people["crew"])
    page = client.get(pages[place]).content.decode()
    thumb = address(world, "note_photo_file", NotePhoto.objects.get().pk) + "?size=thumb"
    assert f'<img src="{thumb}" alt="Fret 12"' in page


def test_a_card_shows_the_first_few_and_how_many_more(client: Client, world: World) -> None:
    note = hear(world)
    colours = ("maroon", "teal", "olive", "navy", "gray", "black")
    add_photos(note, [picture(each) for each in colours], by=world.tech)
    client.force_login(world.tech)
    page = client.get(reverse("notes:index", args=[world.production.pk])).content.decode()
    assert page.count("?size=thumb") == 4
    assert "and 2 more" in page
    assert 'alt="Photo with a note about Bass main"' in page


def test_it_is_found_by_its_caption_until_it_is_removed(client: Client, world: World) -> None:
    photo = with_photo(world, caption="Cracked nut")
    entry = SearchEntry.objects.filter(subject=photo.note_id)
    assert "Cracked nut" in entry.get().body
    client.force_login(world.engineer)
    client.post(address(world, "note_photo_remove", photo.pk))
    assert "Cracked nut" not in entry.get().body


@pytest.mark.parametrize("count", [1, 9])
def test_queries_do_not_grow_with_the_photos(
    client: Client, world: World, count: int, django_assert_num_queries: Any
) -> None:
    """No more than of notes without any, in tests/notes/journal."""
    for n in range(count):
        add_photos(hear(world), [picture((n, i, 0)) for i in range(count)], by=world.tech)
    client.force_login(world.engineer)
    assert queries_of(client, reverse("notes:index", args=[world.production.pk])) <= 25
    note = Note.objects.order_by("-written_at")[0]
    with django_assert_num_queries(12):
        client.get(note.get_absolute_url())


@pytest.mark.parametrize("key", [{}, {"Idempotency-Key": f'"{KEY}"'}])
@pytest.mark.parametrize(("who", "status"), [("outsider", 404), ("crew", 403)])
def test_pictures_of_whoever_may_not_add_any_are_left_as_they_are(
    client: Client, world: World, monkeypatch: Any, key: dict[str, str], who: str, status: int
) -> None:
    def prepare(*_: Any, **__: Any) -> Any:
        raise AssertionError("prepared for somebody who may not add it")

    note = hear(world)
    outsider = make_world("Elsewhere").engineer
    monkeypatch.setattr(photo_forms, "prepare", prepare)
    client.force_login(outsider if who == "outsider" else world.people[who])
    for url in (
        address(world, "note_photos_new", note.pk),
        address(world, "note_new", world.rig.pk),
    ):
        assert client.post(url, {**HEARD, "photos": file()}, headers=key).status_code == status
