"""A list over the API: the same preview, mending and confirmation as on the page."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from core.models import Membership, Production
from core.models.roles import Role
from rigs.models import Input, Rig
from tests.support.pages import as_user
from tests.support.world import make_user

LIST = "Ch,Source,Mic,48V,HPF,Mon\nDRUMS (Odd),,,,,\n1,Kick,Stump,NO!!,in,3\n2,OH,Reed,x,80,3\n"


@pytest.fixture
def place(db: None) -> Production:
    return Production.objects.create(name="Low Ferry")


def caller(place: Production, role: str = Role.ENGINEER) -> Client:
    user = make_user(f"{role} Marnock")
    Membership.objects.create(production=place, user=user, role=role)
    return as_user(user)


def upload(client: Client, place: Production, text: str = LIST) -> Any:
    file = SimpleUploadedFile("list.csv", text.encode())
    return client.post(f"/api/v1/productions/{place.pk}/list-imports/", {"file": file})


def test_upload_mend_and_confirm_once(place: Production) -> None:
    client = caller(place)
    sent = upload(client, place)
    shown = sent.json()
    assert sent.status_code == 201
    assert shown["cells"] == {"used": 15, "asked": 1, "not_used": 3}
    assert shown["columns_not_used"] == ["F · Mon"]
    assert [(rig["player"], rig["name"]) for rig in shown["rigs"]] == [("Odd", "Drums main")]
    assert shown["rows"][0]["not_understood"] == {"high_pass_hz": "“in” is not a frequency in Hz."}
    assert not Rig.objects.exists()
    one = f"/api/v1/list-imports/{shown['id']}/"
    mended = {
        "mended": {"3": {"high_pass_hz": "30"}},
        "rigs": {shown["rigs"][0]["key"]: {"do": "make", "name": "Kit"}},
    }
    after = client.patch(one, mended, content_type="application/json").json()
    assert (after["cells"]["asked"], after["rigs"][0]["name"]) == (0, "Kit")
    body = {"seen": shown["seen"]}
    stale = client.post(f"{one}confirmation/", body, content_type="application/json")
    assert stale.status_code == 422
    body = {"seen": client.get(one).json()["seen"]}
    done = client.post(f"{one}confirmation/", body, content_type="application/json")
    assert [each["number"] for each in done.json()["revisions"]] == [1]
    assert sorted(Input.objects.values_list("name", "high_pass_hz")) == [("Kick", 30), ("OH", 80)]
    again = client.post(f"{one}confirmation/", body, content_type="application/json")
    assert again.status_code == 422
    assert Rig.objects.count() == 1


def test_what_is_no_list_is_refused(place: Production) -> None:
    sent = upload(caller(place), place, " ")
    assert (sent.status_code, list(sent.json()["fields"])) == (400, ["file"])


def test_who_may_not_edit_rigs_may_not_import(place: Production) -> None:
    assert upload(caller(place, Role.CREW), place).status_code == 403
