"""Every address of the service, asked by a guest: what the link names opens, and nothing else.

The addresses come from the URL configuration, so a page that is made later is walked as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from uuid import UUID, uuid4

import pytest
from django.http import Http404
from django.test import Client, RequestFactory

from core.guests.gate import guest_with, opened_by
from core.guests.links import shared_of
from core.models import Player
from notes.models import Clip, Note, NotePhoto, PublishedHandover
from rigs.changes.edits import Add, Set
from rigs.guests import OF_SHOWS
from rigs.models import Photo, Rig
from rigs.photos.services import add_photos
from tests.core.guests.shared import link_to
from tests.support.addresses import ROUTES, address
from tests.support.everything import arguments_for, fill, picture
from tests.support.pages import FORM_OF_PAGE
from tests.support.world import World, make_rig

KINDS = ["rig", "leg-backline", "handover", "handover-copy", *OF_SHOWS]
SECRETS = ("Zwickelgrau", "Ottermohn", "Quastenlicht", "Brambleworth")


@pytest.fixture
def full(world: World) -> World:
    """With a second rig that plays, and words that no guest may read."""
    fill(world)
    return world


def subject_of(kind: str, known: dict[str, str]) -> UUID:
    names = {"rig": "rig", "leg-backline": "leg", "handover": "published", "handover-copy": "leg"}
    return UUID(known[names.get(kind, "show")])


def body_of(response) -> str:
    return response.getvalue().decode(errors="replace")


def walked(world: World, known: dict[str, str]) -> Iterator[tuple[str, str, str]]:
    """Each address with what it would be below a link, and whether members have it."""
    inside = f"/p/{world.production.pk}/"
    for route in ROUTES:
        path = address(route, known | {"copy": "preview", "format": "csv"})
        rest = path.removeprefix(inside) if path.startswith(inside) else path.lstrip("/")
        if rest and rest != "keep.json":
            yield route, path, rest


@pytest.mark.any_database
def test_of_no_kind_another_address_opens(full: World) -> None:
    """At the gate, behind the link: what is walked here would take long over HTTP."""
    known = arguments_for(full)
    request = RequestFactory().get("/")
    wrong = []
    for kind in KINDS:
        token = link_to(full, kind, subject_of(kind, known)).split("/")[2]
        guest, opened = guest_with(token), 0
        for route, path, rest in walked(full, known):
            try:
                opened_by(request, guest, rest)
            except Http404:
                continue
            opened += 1
            if path not in guest.opens:
                wrong.append(f"{kind}: {route}")
        assert opened, kind
        if kind == "rig":
            assert opened == 6  # the rig, its unit, input and photo, the picture, the sound
            some_over_http(full, known, token)
    assert not wrong, "\n".join(wrong)
    all_that_opens_is_read(full, known)


def some_over_http(world: World, known: dict[str, str], token: str) -> None:
    opens = guest_with(token).opens
    client = Client(raise_request_exception=False)
    for _, path, rest in list(walked(world, known))[::9]:
        status = client.get(f"/g/{token}/{rest}").status_code
        assert status == (200 if path in opens else 404), path


def all_that_opens_is_read(full: World, known: dict[str, str]) -> None:
    client = Client()
    for kind in KINDS:
        shared = shared_of(full.production, kind, subject_of(kind, known))
        home = link_to(full, kind, subject_of(kind, known))
        for path, opened in shared.opens.items():
            rest = "" if path == shared.start else path.removeprefix(f"/p/{full.production.pk}/")
            response = client.get(f"{home}{rest}")
            assert response.status_code == 200, path
            assert response.headers["X-Robots-Tag"] == "noindex, nofollow"
            assert response.headers["Referrer-Policy"] == "no-referrer"
            assert "no-store" in response.headers["Cache-Control"]
            assert "sessionid" not in response.cookies
            if not opened.file:
                check_page(body_of(response), full, home)
        assert client.post(home).status_code == 302  # to the same page: nothing is asked here
        assert client.put(home).status_code == 405


def check_page(said: str, world: World, home: str) -> None:
    assert f"/p/{world.production.pk}" not in said  # no address that members use
    assert not FORM_OF_PAGE.search(said)
    assert "csrfmiddlewaretoken" not in said
    assert '<meta name="robots" content="noindex, nofollow">' in said
    assert "The house engineer" in said
    assert str(world.engineer) in said
    for user in world.people.values():
        assert user.email not in said
    for leads in re.findall(r'(?:href|src|poster|data-[\w-]+)="(/[^"]*)"', said):
        assert leads.startswith((home, "/static/")), leads


@pytest.mark.any_database
def test_a_rig_brings_nothing_of_other_parts(full: World) -> None:
    plant(full)
    shared = shared_of(full.production, "rig", full.rig.pk)
    home = link_to(full, "rig", full.rig.pk)
    client = Client()
    for path, opened in shared.opens.items():
        rest = "" if path == shared.start else path.removeprefix(f"/p/{full.production.pk}/")
        if opened.file:
            continue
        said = body_of(client.get(f"{home}{rest}"))
        assert not [word for word in SECRETS if word in said], path
    pictures_and_sounds_of_other_parts_do_not_open(full)


def plant(world: World) -> Rig:
    """Words and pictures that are not of the rig: a second rig, notes, a note's photo."""
    other = Player.objects.create(production=world.production, name="Zwickelgrau", instrument="sax")
    unit = Add(str(uuid4()), "unit", {"name": "Ottermohn", "gear": "valve_head"})
    rig = make_rig(world.production, other, world.tech, "Quastenlicht", (unit,))
    add_photos(rig, [picture("navy")], about=None, caption="Ottermohn", author=world.engineer)
    Note.objects.create(
        production=world.production,
        rig=world.rig,
        words="Brambleworth is too loud.",
        verdict="adjust",
        written_by=world.engineer,
    )
    return rig


def pictures_and_sounds_of_other_parts_do_not_open(full: World) -> None:
    rig = Rig.objects.get(name="Quastenlicht")
    home = link_to(full, "rig", full.rig.pk)
    client, photo = Client(), Photo.objects.get(rig=full.rig)
    theirs = Photo.objects.get(rig=rig)
    own = f"{home}rigs/{full.rig.pk}/photos/{photo.pk}/file/"
    assert client.get(own).status_code == 200
    assert client.get(f"{home}rigs/{rig.pk}/photos/{theirs.pk}/file/").status_code == 404
    assert client.get(f"{home}rigs/{full.rig.pk}/photos/{theirs.pk}/file/").status_code == 404
    # A parameter that names another picture is not looked at.
    plain, named = client.get(own), client.get(f"{own}?v={theirs.image_id}")
    assert named.getvalue() == plain.getvalue()
    note_photo = NotePhoto.objects.get()
    assert client.get(f"{home}notes/photos/{note_photo.pk}/file/").status_code == 404
    clip = Clip.objects.exclude(name="The other").get()
    assert client.get(f"{home}clips/{clip.pk}/sound/preview/").status_code == 200
    assert client.get(f"{home}clips/{clip.pk}/sound/original/").status_code == 404


def test_a_section_of_a_handover_opens_without_the_others(full: World) -> None:
    published = PublishedHandover.objects.get()
    general = link_to(full, "handover", published.pk, parts=["general"])
    client = Client()
    said = body_of(client.get(f"{general}?long"))
    assert "Halloran" not in said
    photo = Photo.objects.get(rig=full.rig)
    picture_at = f"rigs/{full.rig.pk}/photos/{photo.pk}/file/"
    assert client.get(f"{general}{picture_at}").status_code == 404
    whole = link_to(full, "handover", published.pk)
    assert "Halloran" in body_of(client.get(f"{whole}?long"))
    assert client.get(f"{whole}{picture_at}").status_code == 200
    whoever_is_logged_in_reads_as_any_guest_does(full)


def test_the_working_handover_is_read_as_it_stands_and_by_sections(full: World) -> None:
    leg = PublishedHandover.objects.get().handover.leg
    whole = link_to(full, "handover-copy", leg.pk)
    client = Client()
    full.record(Set(str(full.rig.pk), "rig", {"sound": "Zwickelgrau, as of now."}))
    assert "Zwickelgrau, as of now." in body_of(client.get(f"{whole}?long"))
    assert "This is the working copy" not in body_of(client.get(whole))  # a word to the crew
    photo = Photo.objects.get(rig=full.rig)
    picture_at = f"rigs/{full.rig.pk}/photos/{photo.pk}/file/"
    assert client.get(f"{whole}{picture_at}").status_code == 200
    general = link_to(full, "handover-copy", leg.pk, parts=["general"])
    assert "Halloran" not in body_of(client.get(f"{general}?long"))
    assert client.get(f"{general}{picture_at}").status_code == 404


def whoever_is_logged_in_reads_as_any_guest_does(full: World) -> None:
    home = link_to(full, "rig", full.rig.pk)
    client = Client()
    client.force_login(full.engineer)
    said = body_of(client.get(home))
    assert not FORM_OF_PAGE.search(said)
    assert str(full.engineer.email) not in said
    assert client.get(f"{home}notes/").status_code == 404
