"""Bring photos, say what they show, put them away, see them."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from rigs.models import Photo, Revision, StoredPhoto
from rigs.photos.storage import path_of
from tests.rigs.photos.pictures import BLUE, RED, encoded, exif, heic, two_tone
from tests.support.world import World, make_world


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def address(world: World, name: str = "photo_new", *args: Any, query: str = "") -> str:
    return reverse(f"rigs:{name}", args=[world.production.pk, world.rig.pk, *args]) + query


def file(data: bytes, name: str = "amp.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "image/jpeg")


def bring(client: Client, world: World, *files: SimpleUploadedFile, **typed: Any) -> Any:
    client.force_login(world.tech)
    return client.post(address(world), {"photos": list(files), **typed})


def brought(client: Client, world: World, **typed: Any) -> Photo:
    bring(client, world, file(encoded(two_tone(), exif=exif(6))), **typed)
    return Photo.objects.get()


def test_a_photo_of_a_unit_is_stored_and_recorded(client: Client, world: World) -> None:
    response = bring(
        client, world, file(encoded(two_tone())), about=str(world.unit.pk), caption="Back panel"
    )
    photo = Photo.objects.get()
    assert (photo.about, photo.caption) == (world.unit.pk, "Back panel")
    assert (photo.image.width, photo.image.height) == (80, 40)
    assert response.headers["Location"] == address(world, "unit", world.unit.pk)
    revision = Revision.objects.latest("number")
    assert (revision.number, revision.author) == (2, world.tech)


def test_several_photos_are_one_change(client: Client, world: World) -> None:
    files = [
        file(encoded(Image.new("RGB", (9, 9), RED))),
        file(encoded(Image.new("RGB", (9, 9), BLUE), "PNG"), "b.png"),
        file(heic(two_tone(64, 64)), "c.heic"),
    ]
    response = bring(client, world, *files)
    assert response.headers["Location"] == world.rig.get_absolute_url()
    assert list(Photo.objects.values_list("about", "position")) == [(None, 0), (None, 1), (None, 2)]
    assert Revision.objects.count() == 2


def test_the_same_picture_of_the_same_thing_is_there_once(client: Client, world: World) -> None:
    data, other = encoded(two_tone()), encoded(Image.new("RGB", (9, 9), RED))
    bring(client, world, file(data), file(data))
    assert (Photo.objects.count(), StoredPhoto.objects.count()) == (1, 1)
    revisions = Revision.objects.count()
    there = bring(client, world, file(data))
    assert there.headers["Location"] == world.rig.get_absolute_url()
    assert "was here already" in client.get(there.headers["Location"]).content.decode()
    assert (Photo.objects.count(), Revision.objects.count()) == (1, revisions)
    bring(client, world, file(data), file(other))  # only the other one is new
    assert Photo.objects.count() == 2
    bring(client, world, file(data), about=str(world.unit.pk))  # shows something else
    assert (Photo.objects.count(), StoredPhoto.objects.count()) == (3, 2)
    photo, base = Photo.objects.get(about=world.unit.pk), Revision.objects.latest("number").number
    client.post(address(world, "photo_retire", photo.pk), {"base": str(base)})
    bring(client, world, file(data), about=str(world.unit.pk))  # put away, and wanted again
    assert Photo.objects.count() == 4


def test_the_form_opens_on_what_it_was_asked_for(client: Client, world: World) -> None:
    client.force_login(world.tech)
    response = client.get(address(world, query=f"?about={world.input.pk}"))
    assert response.context["form"]["about"].value() == str(world.input.pk)
    text = response.content.decode()
    assert 'accept="image/*"' in text
    assert "multiple" in text
    assert 'enctype="multipart/form-data"' in text
    assert client.get(address(world, query="?about=nonsense")).status_code == 200


def test_what_is_wrong_with_a_file_is_said_by_its_name_and_the_rest_kept(
    client: Client, world: World
) -> None:
    cut = encoded(Image.effect_noise((200, 200), 80))
    response = bring(
        client,
        world,
        file(b"Dear crew", "letter.jpg"),
        file(encoded(two_tone())),
        file(cut[: len(cut) // 2], "cut.jpg"),
        caption="Back panel",
        about=str(world.unit.pk),
    )
    assert response.headers["Location"] == address(world, "unit", world.unit.pk)
    assert [str(each) for each in get_messages(response.wsgi_request)] == [
        "The photo is in.",
        "Left out: letter.jpg: This is not a JPEG, PNG, WebP or HEIC picture.",
        "Left out: cut.jpg: The picture is damaged or not complete. Take it or upload it again.",
    ]
    assert Photo.objects.get().caption == "Back panel"


def test_where_no_file_can_be_taken_the_form_comes_back(client: Client, world: World) -> None:
    response = bring(
        client,
        world,
        file(b"Dear crew", "letter.jpg"),
        file(b"", "cut.jpg"),
        caption="Back panel",
        about=str(world.unit.pk),
    )
    assert response.status_code == 200
    assert response.context["form"].errors["photos"] == [
        "letter.jpg: This is not a JPEG, PNG, WebP or HEIC picture.",
        "cut.jpg: The file is empty.",
        "Nothing was stored yet: pick the photos again.",
    ]
    assert 'value="Back panel"' in response.content.decode()
    assert response.context["form"]["about"].value() == str(world.unit.pk)
    assert not StoredPhoto.objects.exists()


def test_a_file_over_the_limit_is_refused(client: Client, world: World, settings: Any) -> None:
    settings.PHOTO_MAX_BYTES = 1024 * 1024
    response = bring(client, world, file(b"x" * (1024 * 1024 + 1)))
    assert response.context["form"].errors["photos"][0] == (
        "amp.jpg: The file has 1 MB; 1 MB is the most a photo may have."
    )


def test_no_photo_and_too_many_are_refused(client: Client, world: World) -> None:
    assert bring(client, world).context["form"].errors["photos"] == [
        "Take a photo or pick at least one."
    ]
    many = [file(b"x", f"{n}.jpg") for n in range(13)]
    assert bring(client, world, *many).context["form"].errors["photos"] == [
        "12 photos at once are the most; these are 13."
    ]


def test_another_rigs_unit_is_no_subject(client: Client, world: World) -> None:
    other = make_world("Elsewhere")
    response = bring(client, world, file(encoded(two_tone())), about=str(other.unit.pk))
    assert "about" in response.context["form"].errors


@pytest.mark.parametrize("role", ["player", "crew", "manager"])
def test_who_may_not_edit_brings_no_photo(client: Client, world: World, role: str) -> None:
    client.force_login(world.people[role])
    assert client.get(address(world)).status_code == 403
    assert client.post(address(world), {"photos": [file(b"x")]}).status_code == 403


def test_caption_and_subject_are_changed_through_the_history(client: Client, world: World) -> None:
    photo = brought(client, world)
    url = address(world, "photo_edit", photo.pk)
    assert 'alt="Photo"' in client.get(url).content.decode()
    response = client.post(
        url, {"base": 2, "caption": "Mic on the edge", "about": str(world.input.pk)}
    )
    assert response.headers["Location"] == address(world, "input", world.input.pk)
    photo.refresh_from_db()
    assert (photo.caption, photo.about) == ("Mic on the edge", world.input.pk)
    assert Revision.objects.latest("number").number == 3


def test_two_captions_at_once_come_back_with_both(client: Client, world: World) -> None:
    photo = brought(client, world)
    url = address(world, "photo_edit", photo.pk)
    client.post(url, {"base": 2, "caption": "Theirs", "about": ""})
    response = client.post(url, {"base": 2, "caption": "Mine", "about": ""})
    text = response.content.decode()
    assert response.status_code == 409
    assert "Mine" in text
    assert "Theirs" in text


def test_a_photo_is_put_away_and_brought_back(client: Client, world: World) -> None:
    photo = brought(client, world)
    url = address(world, "photo_retire", photo.pk)
    client.post(url, {"base": 2})
    photo.refresh_from_db()
    assert photo.retired
    client.post(url, {"back": "1"})
    photo.refresh_from_db()
    assert not photo.retired


@pytest.mark.parametrize("role", ["player", "crew", "manager", "tech"])
def test_members_see_the_picture(client: Client, world: World, role: str) -> None:
    photo = brought(client, world, caption="Back panel")
    client.force_login(world.people[role])
    response = client.get(address(world, "photo_file", photo.pk))
    assert response.status_code == 200
    assert b"".join(response.streaming_content)[:4] == b"RIFF"  # type: ignore[attr-defined]
    assert response.headers["Content-Type"] == "image/webp"
    assert response.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    assert response.headers["ETag"] == f'"{photo.image.sha256}"'
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Content-Disposition"] == 'inline; filename="back-panel.webp"'


def test_the_small_one_is_another_file(client: Client, world: World) -> None:
    photo = brought(client, world)
    response = client.get(address(world, "photo_file", photo.pk, query="?size=thumb"))
    assert response.headers["ETag"] == f'"{photo.image.thumb_sha256}"'


def test_who_has_it_is_not_sent_it_again(client: Client, world: World) -> None:
    photo = brought(client, world)
    url = address(world, "photo_file", photo.pk)
    response = client.get(url, headers={"if-none-match": f'"{photo.image.sha256}"'})
    assert (response.status_code, response.content) == (304, b"")
    assert "immutable" in response.headers["Cache-Control"]


def test_pictures_are_not_packed_again(client: Client, world: World) -> None:
    photo = brought(client, world)
    response = client.get(
        address(world, "photo_file", photo.pk), headers={"accept-encoding": "gzip"}
    )
    assert "Content-Encoding" not in response.headers
    assert response.headers["ETag"] == f'"{photo.image.sha256}"'


def test_outsiders_and_other_productions_see_no_picture(client: Client, world: World) -> None:
    photo = brought(client, world)
    other = make_world("Elsewhere")
    client.force_login(other.tech)
    assert client.get(address(world, "photo_file", photo.pk)).status_code == 404
    assert client.get(address(other, "photo_file", photo.pk)).status_code == 404
    client.logout()
    assert client.get(address(world, "photo_file", photo.pk)).status_code == 302


def test_a_lost_file_is_not_found(client: Client, world: World, tmp_path: Any) -> None:
    photo = brought(client, world)
    (tmp_path / path_of(photo.image.sha256)).unlink()
    assert client.get(address(world, "photo_file", photo.pk)).status_code == 404


def test_a_unit_page_shows_its_photos_with_captions(client: Client, world: World) -> None:
    photo = brought(client, world, about=str(world.unit.pk), caption="Back panel")
    text = client.get(address(world, "unit", world.unit.pk)).content.decode()
    assert address(world, "photo_file", photo.pk) in text
    assert 'alt="Back panel"' in text
    assert address(world, query=f"?about={world.unit.pk}") in text
    client.force_login(world.people["crew"])
    assert address(world) not in client.get(address(world, "unit", world.unit.pk)).content.decode()


def test_a_photo_of_a_unit_is_captioned_anew(client: Client, world: World) -> None:
    photo = brought(client, world, about=str(world.unit.pk), caption="Back")
    url = address(world, "photo_edit", photo.pk)
    typed = {"base": "2", "caption": "Back panel", "about": str(world.unit.pk)}
    assert client.post(url, typed).status_code == 302
    photo.refresh_from_db()
    assert (photo.caption, photo.about) == ("Back panel", world.unit.pk)
