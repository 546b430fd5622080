"""Text of any kind goes in by every way and comes out by every way; none is an error.

A hostile text is drawn from all of Unicode by Hypothesis. What is there already, from before
anything looked at it, is put into the database behind the back of every form.
"""

from __future__ import annotations

import csv
import io
import json
from xml.etree import ElementTree

import openpyxl
import pypdfium2
import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.models import Player, Production, Song
from core.text import UNPRINTABLE, printable
from rigs.models import Input, Rig, Unit
from rigs.models.parts import gateway
from tests.support.world import World

NUL = "\x00"  # PostgreSQL cannot hold it; nothing could have put it there
# What a database can hold: everything but halves of characters and NUL.
STORED = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40).map(
    lambda text: text.replace(NUL, "")
)
NASTY = "Bass\ufffe \x01<b>&\x0b“ß”\uffff𝄞 _x0041_ =1+1"
WITH_DATABASE = settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.fixture
def client_of(world: World) -> Client:
    client = Client()
    client.force_login(world.engineer)
    return client


@pytest.fixture
def manager(world: World) -> Client:
    client = Client()
    client.force_login(world.people["manager"])
    return client


def put_in(world: World, text: str) -> None:
    """Behind the back of forms and gateway, as old data may be."""
    Production.objects.update(name=text[:120])
    Player.objects.update(name=text[:80], instrument=text[:40])
    with gateway():
        Rig.objects.update(name=text[:80], sound=text)
        Unit.objects.update(name=text[:80], maker=text[:60])
        Input.objects.update(name=text[:80], aimed_at=text[:80])
    Song.objects.create(production=world.production, title=text[:80], position=1)


def sheets(world: World) -> list[str]:
    production, rig = world.production.pk, world.rig.pk
    return [
        reverse("rigs:recall", args=[production, rig]),
        reverse("rigs:player_page", args=[production, rig]),
        reverse("rigs:kit_page", args=[production, rig]),
        reverse("rigs:labels", args=[production]),
        reverse("rigs:input_list_file", args=[production, "pdf"]),
        reverse("rigs:pack_list_file", args=[production, "pdf"]),
    ]


@WITH_DATABASE
@given(text=STORED)
def test_what_is_there_already_breaks_no_page_and_no_sheet(
    world: World, client_of: Client, text: str
) -> None:
    put_in(world, text)
    pages = [
        reverse("rigs:rig", args=[world.production.pk, world.rig.pk]),
        reverse("rigs:input", args=[world.production.pk, world.rig.pk, world.input.pk]),
        reverse("rigs:input_list", args=[world.production.pk]),
        reverse("core:songs", args=[world.production.pk]),
    ]
    assert [client_of.get(page).status_code for page in pages] == [200] * len(pages)


@pytest.mark.parametrize("text", [NASTY, "\ufffe", "\x0b\x0c", "a\u2028b\u202e", "‏ش", "🎸" * 20])
def test_a_sheet_never_fails_because_of_a_character(
    world: World, client_of: Client, text: str
) -> None:
    put_in(world, text)
    for address in sheets(world):
        answer = client_of.get(address)
        assert answer.status_code == 200, address
        assert len(pypdfium2.PdfDocument(answer.content)) >= 1


@pytest.mark.parametrize("text", [NASTY, "\ufffe"])
def test_lists_hold_what_can_be_printed(world: World, client_of: Client, text: str) -> None:
    put_in(world, text)
    address = "rigs:input_list_file"
    answer = client_of.get(reverse(address, args=[world.production.pk, "csv"]))
    cells = [c for row in csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))) for c in row]
    assert not any(UNPRINTABLE.search(cell) for cell in cells)
    assert any(printable(text).strip()[:80] in cell for cell in cells)
    answer = client_of.get(reverse(address, args=[world.production.pk, "xlsx"]))
    book = openpyxl.load_workbook(io.BytesIO(answer.content))
    assert book.active is not None


@WITH_DATABASE
@given(text=STORED)
def test_a_form_leaves_out_what_cannot_be_printed(world: World, manager: Client, text: str) -> None:
    address = reverse("core:production_edit", args=[world.production.pk])
    world.production.refresh_from_db()
    sent = {"name": f"Act {text}"[:100], "about": text, "version": world.production.version}
    answer = manager.post(address, sent)
    assert answer.status_code in (200, 302)
    world.production.refresh_from_db()
    assert not UNPRINTABLE.search(world.production.name + world.production.about)


def test_a_program_is_told_which_character_is_refused(world: World, client_of: Client) -> None:
    address = f"/api/v1/rigs/{world.rig.pk}/changes/"
    unit = str(world.unit.pk)
    edit = {"op": "set", "kind": "unit", "part": unit, "fields": {"name": "Head\ufffe"}}
    answer = client_of.post(
        address, json.dumps({"base": 1, "edits": [edit]}), content_type="application/json"
    )
    assert answer.status_code == 400
    assert "edits.0.fields.name: U+FFFE" in answer.json()["fields"]["edits"][0]
    world.unit.refresh_from_db()
    assert world.unit.name == "Head"


def test_the_gateway_refuses_what_no_form_has_seen(world: World) -> None:
    with pytest.raises(Exception, match=r"cannot be printed: U\+FFFE"):
        world.turn("2:30\ufffe")


def test_a_drawing_of_what_is_there_already_is_xml(world: World, client_of: Client) -> None:
    put_in(world, NASTY)
    page = client_of.get(reverse("rigs:rig", args=[world.production.pk, world.rig.pk])).content
    drawn = page.decode().split("<svg")[1:]
    assert drawn
    for each in drawn:
        ElementTree.fromstring(f"<svg{each.partition('</svg>')[0]}</svg>")  # noqa: S314 - ours


def test_a_mail_of_a_name_with_breaks_is_sent(world: World, client_of: Client) -> None:
    Production.objects.update(name="The\r\nBcc: x@example.org\ufffe")
    client_of.force_login(world.people["manager"])
    client_of.post(
        reverse("core:invite", args=[world.production.pk]),
        {"email": "new@example.org", "roles": ["crew"]},
    )
    assert [message.to for message in mail.outbox] == [["new@example.org"]]
    assert "\n" not in mail.outbox[0].subject
