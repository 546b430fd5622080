"""The administrator's view: everything of core can be found, nothing of history deleted."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.apps import apps
from django.contrib import admin
from django.test import Client, RequestFactory
from django.urls import reverse

from core.guests.links import share
from core.links import make_link
from core.models import (
    Leg,
    OneTimeLink,
    Player,
    RehearsalRoom,
    Research,
    Section,
    SetChange,
    SetEntry,
    Show,
    ShowSet,
    Song,
    User,
)
from tests.support.pages import as_user
from tests.support.world import World

SHOWN = [
    "user",
    "production",
    "membership",
    "player",
    "leg",
    "show",
    "song",
    "section",
    "rehearsalroom",
    "onetimelink",
    "guestlink",
    "guestchange",
    "research",
    "showset",
    "setentry",
    "setchange",
]
# Kept by services for a while; rebuilt or forgotten, never edited.
NOT_SHOWN = {
    "searchentry",
    "searchword",
    "indexedproduction",
    "keptresult",
    "donerequest",
    # The log, and what core.proof keeps about it.
    "checkpoint",
    "logbegun",
    "logentry",
    "lognode",
    "logsalt",
    # Kept apart by core.personal, and shown where they stand.
    "personaltext",
    "removal",
    "guestopening",
    "removedfile",
    "presence",
    "upload",
    "uploadpiece",
    # Of getting in: their owners see them, and what an administrator may do is on the account.
    "login",
    "passkey",
    "secondfactor",
    "recoverycode",
    "knowndevice",
    "tries",
}


@pytest.fixture
def boss(world: World) -> User:
    leg = Leg.objects.create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-20"
    )
    show = Show.objects.create(leg=leg, held_on="2026-09-02", room="Barn")
    RehearsalRoom.objects.create(production=world.production, name="Barn")
    song = Song.objects.create(production=world.production, title="Early Bus")
    Section.objects.create(song=song, name="Verse")
    own = ShowSet.objects.create(show=show, version=1)
    SetEntry.objects.create(set=own, song=song)
    SetChange.objects.create(set=own, number=1, words=["Begun."], by_name="Ana")
    Research.objects.create(song=song, take="The thump.", written_by=world.engineer)
    make_link(
        production=world.production,
        purpose=OneTimeLink.Purpose.INVITATION,
        details={"roles": ["crew"]},
        made_by=world.engineer,
        days=3,
    )
    share(
        production=world.production,
        kind="rig",
        subject=world.rig.pk,
        by=world.engineer,
        for_whom="House engineer",
        until=date.today(),
        address=str,
    )
    return User.objects.create_superuser("chief@example.org", "Chief", "long-enough-1")


def test_every_model_is_shown_or_left_out_on_purpose() -> None:
    names = {model._meta.model_name for model in apps.get_app_config("core").get_models()}
    assert names == {*SHOWN, *NOT_SHOWN}
    assert all(admin.site.is_registered(apps.get_model("core", name)) for name in SHOWN)


@pytest.mark.parametrize("name", SHOWN)
def test_lists_and_pages_open_and_find(boss: User, name: str) -> None:
    client = as_user(boss)
    listed = client.get(reverse(f"admin:core_{name}_changelist"), {"q": "a"})
    assert listed.status_code == 200
    one = apps.get_model("core", name)._default_manager.first()
    page = client.get(reverse(f"admin:core_{name}_change", args=[one.pk]))
    assert page.status_code == 200


@pytest.mark.parametrize("name", SHOWN)
def test_nothing_is_deleted(boss: User, rf: RequestFactory, name: str) -> None:
    request = rf.get("/")
    request.user = boss
    model = apps.get_model("core", name)
    assert admin.site.get_model_admin(model).has_delete_permission(request) is False


@pytest.mark.parametrize("name", ["membership", "onetimelink"])
def test_what_only_services_write_is_read_only(boss: User, rf: RequestFactory, name: str) -> None:
    request = rf.get("/")
    request.user = boss
    page = admin.site.get_model_admin(apps.get_model("core", name))
    assert page.has_add_permission(request) is False
    assert page.has_change_permission(request) is False
    assert page.has_view_permission(request) is True


def test_an_open_form_notices_the_administrator(boss: User, world: World) -> None:
    url = reverse("admin:core_player_change", args=[world.player.pk])
    data: dict[str, Any] = {
        "production": world.production.pk,
        "name": "Ines H.",
        "instrument": "bass",
    }
    assert as_user(boss).post(url, data).status_code == 302
    player = Player.objects.get(pk=world.player.pk)
    assert (player.name, player.version) == ("Ines H.", 2)


def test_an_account_is_made_with_a_hashed_password(boss: User) -> None:
    data = {
        "email": "New@Example.org",
        "name": "New",
        "usable_password": "true",
        "password1": "a quiet stage",
        "password2": "a quiet stage",
    }
    response = as_user(boss).post(reverse("admin:core_user_add"), data)
    assert response.status_code == 302
    made = User.objects.get(email="new@example.org")
    assert made.check_password("a quiet stage")


def test_members_are_not_let_in(world: World, client: Client) -> None:
    response = as_user(world.people["manager"]).get(reverse("admin:index"))
    assert response.status_code == 302
