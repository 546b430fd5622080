"""Bring the photos of a whole rig at once, then say in one page what each shows."""

from __future__ import annotations

import re
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from rigs.changes.edits import Add, Retire, Set
from rigs.models import Photo, Revision, StoredPhoto, Unit
from rigs.photos.services import add_photos
from rigs.revisions.record import record
from tests.rigs.photos.pictures import encoded, two_tone
from tests.support.everything import picture
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import at
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def shade(number: int) -> bytes:
    return encoded(Image.new("RGB", (40, 30), (number * 20, 90, 40)))


def files(*data: bytes) -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile(f"{n}.jpg", each, "image/jpeg") for n, each in enumerate(data)]


def bring(client: Client, world: World, *data: bytes, **typed: Any) -> Any:
    return client.post(at(world, "photo_new"), {"photos": files(*data), "about": "each", **typed})


def more_units(world: World, *names: str) -> None:
    adds = [
        Add(str(uuid4()), "unit", {"name": name, "gear": "pedal", "position": place})
        for place, name in enumerate(names, 50)
    ]
    world.rig.refresh_from_db()
    record(world.rig, adds, author=world.tech, base=world.rig.head_number)


def filled_in(page: Any) -> dict[str, str]:
    """What a browser sends of the page as it opened."""
    form = page.context["form"]
    return {name: str(form[name].value() or "") for name in form.fields}


def test_twelve_photos_are_described_and_saved_as_one_change(world: World) -> None:
    client = as_user(world.tech)
    more_units(world, "Tuner", "Comp")
    before = Revision.objects.count()
    response = bring(client, world, *(shade(n) for n in range(12)))
    assert Photo.objects.count() == 12
    assert Revision.objects.count() == before + 1
    assert response.headers["Location"] == f"{at(world, 'photos_describe')}?added={before + 1}"
    page = client.get(response.headers["Location"])
    photos = page.context["form"].photos
    typed = filled_in(page)
    first, second, third = (str(photo.pk) for photo in photos[:3])
    assert (typed[f"about-{first}"], typed[f"view-{first}"]) == ("rig", "overall")
    assert typed[f"about-{second}"] == str(world.unit.pk)
    assert typed[f"about-{third}"] == str(Unit.objects.get(name="Tuner").pk)
    assert typed[f"about-{photos[11].pk}"] == ""  # the rig has nothing more to guess at
    typed |= {f"about-{third}": str(world.unit.pk), f"view-{third}": "back"}
    typed |= {f"caption-{second}": "As it stood"}
    saved = client.post(response.headers["Location"], typed)
    assert saved.headers["Location"] == f"{world.rig.get_absolute_url()}#photos"
    assert Revision.objects.count() == before + 2
    rows = {str(photo.pk): photo for photo in Photo.objects.all()}
    assert (rows[first].about, rows[first].view) == (None, "overall")
    assert (rows[second].about, rows[second].caption) == (world.unit.pk, "As it stood")
    assert (rows[third].about, rows[third].view) == (world.unit.pk, "back")
    assert not rows[str(photos[11].pk)].is_described
    html = client.get(world.rig.get_absolute_url()).content.decode()
    assert html.count("not described yet") == sum(not each.is_described for each in rows.values())
    assert f'alt="Photo of {world.unit}, from the back"' in html


def test_a_guess_counts_only_once_it_is_sent(world: World) -> None:
    client = as_user(world.tech)
    bring(client, world, shade(1))
    client.get(at(world, "photos_describe"))
    assert not Photo.objects.get().is_described


def test_damaged_files_are_named_and_the_rest_kept(world: World) -> None:
    client = as_user(world.tech)
    response = bring(client, world, shade(1), b"Dear crew", shade(2), shade(3)[:200])
    assert Photo.objects.count() == 2
    told = [str(each) for each in get_messages(response.wsgi_request)]
    assert told[0] == "2 photos are in."
    assert [text.split(":")[1].strip() for text in told[1:]] == ["1.jpg", "3.jpg"]


def test_the_same_pictures_again_are_there_once_also_when_described(world: World) -> None:
    client = as_user(world.tech)
    data = [shade(1), shade(1), shade(2)]
    page = client.get(bring(client, world, *data).headers["Location"])
    assert (Photo.objects.count(), StoredPhoto.objects.count()) == (2, 2)
    client.post(at(world, "photos_describe"), filled_in(page))
    again = bring(client, world, *data)
    assert again.headers["Location"] == world.rig.get_absolute_url()
    assert (Photo.objects.count(), StoredPhoto.objects.count()) == (2, 2)


def test_what_is_left_can_be_described_later_by_another(world: World) -> None:
    bring(as_user(world.tech), world, shade(1), shade(2))
    client = as_user(world.engineer)
    html = client.get(world.rig.get_absolute_url()).content.decode()
    assert "2 photos do not say yet what" in " ".join(html.split())
    url = at(world, "photos_describe")
    assert url in html
    page = client.get(url)
    typed = filled_in(page)
    photo = page.context["form"].photos[1]
    typed |= {name: "" for name in typed if name != "base"}
    typed[f"caption-{photo.pk}"] = "Under the riser"
    client.post(url, typed)
    assert [each.caption for each in client.get(url).context["form"].photos] == [""]
    assert Revision.objects.latest("number").author == world.engineer


def test_the_whole_rig_alone_counts_as_said(world: World) -> None:
    client = as_user(world.tech)
    page = client.get(bring(client, world, shade(1)).headers["Location"])
    photo = Photo.objects.get()
    client.post(at(world, "photos_describe"), {**filled_in(page), f"view-{photo.pk}": ""})
    photo.refresh_from_db()
    assert (photo.about, photo.view) == (None, "overall")


def test_one_press_saves_and_leads_to_the_pins_of_a_photo(world: World) -> None:
    client = as_user(world.tech)
    page = client.get(bring(client, world, shade(1), shade(2)).headers["Location"])
    photo = page.context["form"].photos[1]
    typed = {**filled_in(page), "pin": str(photo.pk)}
    response = client.post(at(world, "photos_describe"), typed)
    assert response.headers["Location"] == at(world, "pin_new", photo.pk)
    assert Photo.objects.get(pk=photo.pk).is_described


def test_whoever_described_the_same_photo_meanwhile_is_not_overruled(world: World) -> None:
    client = as_user(world.tech)
    page = client.get(bring(client, world, shade(1), shade(2)).headers["Location"])
    typed = filled_in(page)
    first, second = page.context["form"].photos
    typed[f"caption-{first.pk}"] = "Mine"
    world.rig.refresh_from_db()
    theirs = Set(str(first.pk), "photo", {"caption": "Theirs"})
    record(world.rig, [theirs], author=world.engineer, base=world.rig.head_number)
    response = client.post(at(world, "photos_describe"), typed)
    assert response.status_code == 409
    html = response.content.decode()
    assert "Theirs" in html
    assert "Mine" in html
    assert not Photo.objects.get(pk=second.pk).is_described  # nothing was saved
    form = response.context["form"]
    chosen = {
        **filled_in(response),
        f"caption-{first.pk}": "Mine",
        f"asked-caption-{first.pk}": str(form.asked[f"caption-{first.pk}"]),
        f"choice-caption-{first.pk}": "typed",
    }
    assert client.post(at(world, "photos_describe"), chosen).status_code == 302
    assert Photo.objects.get(pk=first.pk).caption == "Mine"
    assert Photo.objects.get(pk=second.pk).is_described


def test_a_photo_retired_meanwhile_is_told(world: World) -> None:
    client = as_user(world.tech)
    page = client.get(bring(client, world, shade(1), shade(2)).headers["Location"])
    typed = filled_in(page)
    first, second = page.context["form"].photos
    world.rig.refresh_from_db()
    gone = Retire(str(first.pk), "photo")
    record(world.rig, [gone], author=world.engineer, base=world.rig.head_number)
    response = client.post(at(world, "photos_describe"), typed)
    told = [str(each) for each in get_messages(response.wsgi_request)]
    assert told[-1] == "1 photo was retired meanwhile; nothing was saved about it."
    assert Photo.objects.get(pk=second.pk).is_described


def test_what_cannot_be_is_refused_and_nothing_is_lost(world: World) -> None:
    client = as_user(world.tech)
    page = client.get(bring(client, world, shade(1)).headers["Location"])
    photo = Photo.objects.get()
    typed = {**filled_in(page), f"caption-{photo.pk}": "x" * 201, f"about-{photo.pk}": "rig"}
    response = client.post(at(world, "photos_describe"), typed)
    assert response.status_code == 200
    assert "x" * 201 in response.content.decode()
    assert not Photo.objects.get().is_described


def test_a_rig_with_nothing_to_describe_says_so(world: World) -> None:
    html = as_user(world.tech).get(at(world, "photos_describe")).content.decode()
    assert "Nothing to describe" in html


@pytest.mark.parametrize("role", ["player", "crew", "manager"])
def test_who_may_not_edit_is_not_offered_to_describe(world: World, role: str) -> None:
    bring(as_user(world.tech), world, shade(1))
    client = as_user(world.people[role])
    assert client.get(at(world, "photos_describe")).status_code == 403
    html = client.get(world.rig.get_absolute_url()).content.decode()
    assert "not described yet" in html
    assert at(world, "photos_describe") not in html


def test_photos_brought_for_one_thing_keep_their_view(world: World) -> None:
    client = as_user(world.tech)
    bring(client, world, encoded(two_tone()), about=str(world.unit.pk), view="back")
    assert Photo.objects.get().view == "back"
    html = client.get(at(world, "unit", world.unit.pk)).content.decode()
    assert re.search(r"alt=\"Photo of [^\"]+, from the back\"", html)


def test_queries_do_not_grow_with_photos_and_units(world: World) -> None:
    client, url = as_user(world.tech), at(world, "photos_describe")

    def brought(*colours: str) -> None:
        world.rig.refresh_from_db()
        pictures = [picture(colour) for colour in colours]
        add_photos(world.rig, pictures, about=None, caption="", author=world.tech)

    brought("maroon")
    client.get(url)
    one, one_rig = queries_of(client, url), queries_of(client, world.rig.get_absolute_url())
    brought("navy", "green", "olive", "teal", "gray", "white", "black", "red", "blue")
    more_units(world, *(f"Pedal {n}" for n in range(9)))
    assert len(client.get(url).context["form"].photos) == 10
    assert queries_of(client, url) == one
    assert queries_of(client, world.rig.get_absolute_url()) == one_rig
