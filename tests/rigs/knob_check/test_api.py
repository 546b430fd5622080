"""Checks of panels over the API: the same rules as on the pages."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from core import clock
from rigs.knob_check import forms as knob_forms
from rigs.models import PanelCheck, Photo, Revision, TurnBack
from tests.rigs.knob_check.canned import canned
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.everything import picture
from tests.support.pages import as_user
from tests.support.world import World

API = "/api/v1"


@pytest.fixture
def photo(world: World, settings: Any, tmp_path: Any, monkeypatch: Any) -> Photo:
    settings.MEDIA_ROOT = tmp_path
    photo = add_photo(world, about=world.unit.pk)
    add_pin(world, photo, world.control, cap_radius="0.1", cap_setting=world.control.setting)
    monkeypatch.setattr(knob_forms, "compare", lambda of, _: canned(of, [40.0]))
    return photo


def sent(client: Client, photo: Photo, colour: str = "navy") -> Any:
    file = SimpleUploadedFile("now.webp", picture(colour).full, "image/webp")
    return client.post(f"{API}/photos/{photo.pk}/panel-checks/", {"photo": file})


def test_a_photo_is_compared_and_nothing_of_the_rig_changes(world: World, photo: Photo) -> None:
    client, before = as_user(world.people["crew"]), Revision.objects.count()
    listed = client.get(f"{API}/rigs/{world.rig.pk}/panels/").json()
    assert [each["photo"] for each in listed] == [str(photo.pk)]
    assert listed[0]["marks"][0]["control"] == str(world.control.pk)
    made = sent(client, photo)
    assert made.status_code == 201, made.content
    (control,) = made.json()["controls"]
    assert (control["off"], control["as_documented"]) == (40.0, False)
    assert sent(client, photo).json()["id"] == made.json()["id"]  # the same photo again
    assert len(client.get(f"{API}/photos/{photo.pk}/panel-checks/").json()) == 1
    assert Revision.objects.count() == before


def test_a_turned_panel_is_not_confirmed_and_may_be_turned_back(world: World, photo: Photo) -> None:
    client = as_user(world.people["crew"])
    check = f"{API}/panel-checks/{sent(client, photo).json()['id']}/"
    said = client.post(f"{check}confirmation/", {"looked": True}, "application/json")
    assert said.status_code == 422
    assert "Take it over or turn it back first" in said.content.decode()
    asked = client.post(
        f"{check}turn-backs/", {"control": str(world.control.pk)}, "application/json"
    )
    assert asked.json()["controls"][0]["to_be_turned_back"] is True
    assert TurnBack.objects.get().control == world.control
    assert PanelCheck.objects.get().confirmed_at is None


def test_who_checks_no_lines_sends_no_photo(world: World, photo: Photo) -> None:
    assert sent(as_user(world.people["player"]), photo).status_code == 403
    assert sent(as_user(world.outsider), photo).status_code == 404


def test_the_same_form_sent_again_is_carried_out_once(world: World, photo: Photo) -> None:
    """As a device does that got no answer, on its return from where no network was."""
    client = as_user(world.tech)
    url = f"/p/{world.production.pk}/rigs/{world.rig.pk}/photos/{photo.pk}/check/"
    answers = list[Any]()
    for _ in range(2):
        file = SimpleUploadedFile("now.webp", picture("navy").full, "image/webp")
        answers.append(
            client.post(
                url, {f"now-{photo.pk}": file}, headers={"Idempotency-Key": '"panel-check-1"'}
            )
        )
    assert [answer.status_code for answer in answers] == [302, 302]
    assert answers[0].url == answers[1].url
    assert PanelCheck.objects.count() == 1


def test_a_setting_is_proposed_from_the_ends_of_the_travel(world: World, photo: Photo) -> None:
    before = Revision.objects.count()
    # From 9:00 to 3:00, half a face; straight up is 12:00 whatever its ends.
    asked = {"control": world.control.pk, "angle": 0, "travel_from": "9:00", "travel_to": "3:00"}
    url = f"{API}/photos/{photo.pk}/panel-proposals/"
    told = as_user(world.tech).get(url, asked).json()
    assert told == {"circle": None, "angle": 0.0, "setting": "12:00"}
    outside = as_user(world.tech).get(url, {**asked, "angle": 130}).json()
    assert outside["setting"] == ""
    refused = as_user(world.tech).get(url, {**asked, "travel_to": ""})
    assert refused.status_code == 400
    assert Revision.objects.count() == before


def test_a_check_is_thrown_away_until_somebody_has_said_something(
    world: World, photo: Photo
) -> None:
    client = as_user(world.people["crew"])
    check = f"{API}/panel-checks/{sent(client, photo).json()['id']}/"
    client.post(f"{check}turn-backs/", {"control": str(world.control.pk)}, "application/json")
    assert client.delete(check).status_code == 204
    assert not PanelCheck.objects.exists()
    assert not TurnBack.objects.exists()
    check = f"{API}/panel-checks/{sent(client, photo).json()['id']}/"
    PanelCheck.objects.update(confirmed_at=clock.now(), confirmed_name="Ines")
    assert client.delete(check).status_code == 422
    assert PanelCheck.objects.exists()
