"""Keys and sessions: what opens the API and what does not."""

from __future__ import annotations

import re
import subprocess
from importlib import import_module

import pytest
from django.apps import apps
from django.test import Client
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from core.models import User
from tests.support.api import api, key_of
from tests.support.world import World

URL = "/account/token/"
LIST = "/api/v1/productions/"


def made(client: Client) -> str:
    page = client.post(URL).content.decode()
    found = re.search(r'value="([0-9a-f]{40})"', page)
    assert found
    return found[1]


def status_with(key: str) -> int:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Token {key}")
    return int(client.get(LIST).status_code)


def test_a_key_is_made_shown_once_and_opens_the_api(client: Client, world: World) -> None:
    client.force_login(world.tech)
    assert b"You have no API key." in client.get(URL).content
    key = made(client)
    assert status_with(key) == 200
    again = client.get(URL).content.decode()
    assert key not in again
    assert "It cannot be shown again" in again


def test_the_answer_with_the_key_is_kept_nowhere(client: Client, world: World) -> None:
    client.force_login(world.tech)
    assert "no-store" in client.post(URL).headers["Cache-Control"]


def test_the_database_cannot_tell_a_key(client: Client, world: World) -> None:
    client.force_login(world.tech)
    key = made(client)
    kept = Token.objects.get(user=world.tech).key
    assert kept != key
    assert status_with(kept) == 401
    # SHA-256 by the program of another package (GNU coreutils), cut off at 160 bits.
    told = subprocess.run(["sha256sum"], input=key, capture_output=True, text=True, check=True)  # noqa: S607
    assert kept == told.stdout[:40]


def test_a_key_from_before_there_were_digests_goes_on(world: World) -> None:
    old = Token.objects.create(user=world.tech).key
    assert status_with(old) == 401
    import_module("core.migrations.0029_digests_of_api_keys").keep_digests(apps, None)
    assert status_with(old) == 200


def test_the_administration_takes_keys_back_and_makes_none(client: Client, world: World) -> None:
    key = key_of(world.tech)
    client.force_login(User.objects.create_superuser("chief@example.org", "Chief", "long-enough-1"))
    there = "/admin/authtoken/tokenproxy/"
    assert client.get(f"{there}add/").status_code == 403
    page = client.get(f"{there}{world.tech.pk}/change/").content.decode()
    assert world.tech.name in page
    client.post(f"{there}{world.tech.pk}/delete/", {"post": "yes"})
    assert status_with(key) == 401


def test_a_new_key_shuts_the_old_one_out(client: Client, world: World) -> None:
    client.force_login(world.tech)
    old, new = made(client), made(client)
    assert (status_with(old), status_with(new)) == (401, 200)
    assert Token.objects.filter(user=world.tech).count() == 1


def test_a_key_that_is_taken_back_opens_nothing(client: Client, world: World) -> None:
    client.force_login(world.tech)
    key = made(client)
    page = client.post(URL, {"revoke": "1"}, follow=True)
    assert "Programs that used it have lost access." in page.content.decode()
    assert status_with(key) == 401


def test_taking_back_what_is_not_there_changes_nothing(client: Client, world: World) -> None:
    key_of(world.engineer)
    client.force_login(world.tech)
    assert client.post(URL, {"revoke": "1"}).status_code == 302
    assert Token.objects.get().user == world.engineer


def test_the_page_asks_for_a_log_in(client: Client, db: None) -> None:
    assert client.get(URL).headers["Location"] == f"/login/?next={URL}"


def test_a_person_who_was_shut_out_has_no_key_either(world: World) -> None:
    client = api(world.tech)
    world.tech.is_active = False
    world.tech.save()
    assert client.get(LIST).status_code == 401


def test_a_session_reads(client: Client, world: World) -> None:
    client.force_login(world.tech)
    assert client.get(LIST).status_code == 200


@pytest.mark.parametrize("checks", [True, False])
def test_a_session_writes_only_with_its_csrf_token(world: World, checks: bool) -> None:
    client = APIClient(enforce_csrf_checks=checks)
    client.force_login(world.tech)
    response = client.post(f"/api/v1/rigs/{world.rig.pk}/changes/", {}, format="json")
    # With a token the body is looked at, and refused for being empty.
    assert response.status_code == (403 if checks else 400)
    assert response.headers["Content-Type"] == "application/json"
