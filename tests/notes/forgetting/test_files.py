"""A picture or a recording that somebody is in is removed for good, and says so ever after."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.core.management import call_command

from core.models import Leg, Removal, RemovedFile, User
from notes.archive.files import named_by
from notes.clips.storage import path_of as sound_path
from notes.forgetting.files import gone_addresses, of_picture, of_recording, remove_files
from notes.models import Clip
from rigs.models import Photo, StoredPhoto
from rigs.photos.storage import path_of as photo_path
from tests.rigs.photos.pinning import add_photo
from tests.support.pages import as_user, at
from tests.support.rig_pages import Page
from tests.support.sounds import bring_clip
from tests.support.world import World, make_world

Committing = Callable[..., AbstractContextManager[Any]]
ASKED = {"asked_by": "person", "reason": "A letter of 3 May.", "sure": "on"}


@pytest.fixture
def committing(django_capture_on_commit_callbacks: Committing) -> Committing:
    return lambda: django_capture_on_commit_callbacks(execute=True)


def files(world: World, photo: Photo, size: str = "") -> Any:
    url = at(world, "rigs:photo_file", world.rig.pk, photo.pk)
    return as_user(world.tech).get(f"{url}?v={photo.image_id}{size}")


def test_a_picture_goes_and_says_so_wherever_it_was(world: World, committing: Committing) -> None:
    photo, other = add_photo(world), add_photo(world, "The back", colour="navy")
    seen = files(world, photo)
    assert seen.status_code == 200
    page = Page(as_user(world.people["manager"]), at(world, "notes:remove_picture", photo.image_id))
    with committing():
        assert page.send(**ASKED).status == 302
    for folder, sha256 in of_picture(photo.image):
        assert (folder, default_storage.exists(photo_path(sha256))) == ("photos", False)
    for size in ("", "&size=thumb"):
        gone = files(world, photo, size)
        assert (gone.status_code, gone["Cache-Control"]) == (410, "no-store")
        assert "removed on request" in gone.content.decode()
        assert files(world, other, size).status_code == 200
    url = at(world, "rigs:photo_file", world.rig.pk, photo.pk)
    tech = as_user(world.tech)
    # A browser that still has it is not told that it may go on showing it (RFC 9110, 13.1.2).
    assert tech.get(url, headers={"If-None-Match": seen["ETag"]}).status_code == 410
    User.objects.filter(pk=world.tech.pk).update(language="de")
    assert "auf Wunsch entfernt" in files(world, photo).content.decode()
    removal = Removal.objects.get()
    assert (removal.by, removal.person, removal.reason) == (
        world.people["manager"],
        None,
        "A letter of 3 May.",
    )
    assert "It was removed on request." in page.client.get(page.url).content.decode()
    kept = {sha256 for _, sha256 in named_by(world.production)}
    assert kept == {sha256 for _, sha256 in of_picture(other.image)}
    call_command("verify")


def test_a_recording_goes_with_all_that_was_cut_from_it(
    world: World, committing: Committing
) -> None:
    clip = bring_clip(world)
    files = of_recording(clip.sound)
    assert {sha256 for _, sha256 in files} == {clip.sound.sha256, clip.working, clip.preview}
    page = Page(as_user(world.people["manager"]), at(world, "notes:remove_recording", clip.pk))
    with committing():
        assert page.send(**ASKED).status == 302
    assert not any(default_storage.exists(sound_path(sha256)) for _, sha256 in files)
    told = as_user(world.tech).get(clip.get_absolute_url()).content.decode()
    assert "removed on request" in told
    assert "Upload the recording again" not in told
    sound = at(world, "notes:clip_sound", clip.pk, "preview")
    assert as_user(world.tech).get(sound).status_code == 404
    assert Clip.objects.get(pk=clip.pk).figures == clip.figures
    call_command("verify")


def test_devices_are_told_what_to_drop(world: World, committing: Committing) -> None:
    photo, other = add_photo(world), add_photo(world, "The back", colour="navy")
    clip = bring_clip(world)
    leg, _ = Leg.objects.get_or_create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-20"
    )

    def told() -> dict[str, Any]:
        url = at(world, "notes:handover_keep", leg.pk)
        found: dict[str, Any] = as_user(world.tech).get(url).json()
        return found

    assert told()["gone"] == []
    manager = world.people["manager"]
    with committing():
        gone = [*of_picture(photo.image), *of_recording(clip.sound)]
        remove_files(world.production, gone, by=manager, asked_by="person", reason="A letter.")
    found = told()
    assert found["gone"] == gone_addresses(world.production)

    def dropped(url: str) -> bool:
        return any(part in url for part in found["gone"])

    large = at(world, "rigs:photo_file", world.rig.pk, photo.pk) + f"?v={photo.image_id}"
    assert dropped(large)
    assert dropped(f"{large}&size=thumb")
    assert dropped(at(world, "notes:clip_sound", clip.pk, "preview"))
    assert not any(dropped(url) for url in (*found["files"], *found["pages"], found["page"]))
    assert any(f"v={other.image_id}" in url for url in found["files"])


def test_what_another_production_has_stays_there(world: World, committing: Committing) -> None:
    elsewhere = make_world("Elsewhere")
    photo, theirs = add_photo(world), add_photo(elsewhere)
    assert photo.image.sha256 == theirs.image.sha256
    with committing():
        remove_files(
            world.production,
            of_picture(photo.image),
            by=world.people["manager"],
            asked_by="person",
            reason="A letter.",
        )
    assert default_storage.exists(photo_path(theirs.image.sha256))
    assert files(elsewhere, theirs).status_code == 200
    assert files(world, photo).status_code == 410


def test_only_managers_and_only_with_a_reason(world: World) -> None:
    photo = add_photo(world)
    url = at(world, "notes:remove_picture", photo.image_id)
    for role in ("engineer", "tech", "crew", "player"):
        assert as_user(world.people[role]).get(url).status_code == 403
        assert as_user(world.people[role]).post(url, ASKED).status_code == 403
    assert as_user(world.outsider).get(url).status_code == 404
    page = Page(as_user(world.people["manager"]), url)
    back = page.send(**(ASKED | {"reason": ""}))
    assert back.response.context["form"].errors == {"reason": ["This field is required."]}
    assert not RemovedFile.objects.exists()
    foreign = add_photo(make_world("Elsewhere"))
    assert StoredPhoto.objects.filter(pk=foreign.image_id).exists()
    other = at(world, "notes:remove_picture", foreign.image_id)
    assert as_user(world.people["manager"]).get(other).status_code == 404
