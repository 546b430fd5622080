"""The main job from end to end in Chromium, at the width of a telephone.

A tech documents a rig with a photo; the engineer writes down what was heard and swaps the
microphone because of it; the player signs by link without an account; a knob turned afterwards
shows; a new crew member reads, acknowledges and asks.
"""

from __future__ import annotations

import io
from datetime import date, timedelta
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from core.models import Leg, Player, User
from notes.models import Acknowledgement, Note, Question, ReasonLink, SignOff
from rigs.models import Input, Photo, Rig
from rigs.revisions.verify import verify_rig
from tests.support.patience import PATIENCE_MS
from tests.support.world import World, make_device, make_world

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.each_database,
]
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def stage(transactional_db: None) -> World:
    world = make_world()
    Player.objects.create(
        production=world.production, name="Otis Verrall", instrument="guitar", position=9
    )
    make_device(world.production, "Slab 9")
    today = date.today()
    Leg.objects.create(
        production=world.production,
        name="Winter halls",
        starts_on=today + timedelta(days=4),
        ends_on=today + timedelta(days=20),
    )
    return world


class Crew:
    """One person at their phone."""

    def __init__(self, new_context: Any, server: str, user: User | None, world: World) -> None:
        self.context = new_context(viewport=PHONE)
        self.place = f"{server}/p/{world.production.pk}"
        if user is not None:
            client = Client()
            client.force_login(user)
            session = client.cookies[settings.SESSION_COOKIE_NAME].value
            self.context.add_cookies(
                [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": server}]
            )
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE_MS)

    def go(self, path: str) -> Page:
        self.page.goto(f"{self.place}/{path}")
        return self.page


def go_on(page: Page, what: Locator) -> None:
    """Press it and wait for the page it leads to: what was sent is then on record."""
    with page.expect_navigation():
        what.click()


def send(page: Page) -> None:
    """Press the one primary button of the page's form."""
    go_on(page, page.locator("main form button.button-primary").first)


def follow(page: Page, name: str) -> None:
    go_on(page, page.locator("main").get_by_role("link", name=name, exact=False).first)


def photo() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), "seagreen").save(out, "JPEG")
    return out.getvalue()


def document_a_rig(tech: Crew) -> Rig:
    page = tech.go("rigs/new/")
    page.get_by_label("Player").select_option(label="Otis Verrall")
    page.get_by_label("Name").fill("Guitar main")
    page.get_by_label("How it should sound").fill("A slow door closing.")
    send(page)
    rig = Rig.objects.get(name="Guitar main")
    page = tech.go(f"rigs/{rig.pk}/units/new/?gear=valve_head")
    page.get_by_label("Name", exact=False).first.fill("Thirty-watt head")
    page.get_by_role("textbox", name="Gain").fill("2.30")
    page.get_by_role("textbox", name="Treble").fill("9:30")
    send(page)
    page = tech.go(f"rigs/{rig.pk}/inputs/new/")
    page.get_by_label("Name").first.fill("Guitar mic")
    page.get_by_label("Microphone or DI").select_option(label="Corvane Hollow 2")
    page.get_by_label("Distance").fill("1 3/8 in")
    send(page)
    page = tech.go(f"rigs/{rig.pk}/photos/new/")
    page.locator("input[name=photos]").set_input_files(
        {"name": "rig.jpg", "mimeType": "image/jpeg", "buffer": photo()}
    )
    send(page)
    page = tech.go(f"rigs/{rig.pk}/")
    expect(page.locator("main")).to_contain_text("A slow door closing.")
    expect(page.locator("main")).to_contain_text("2:30")
    expect(page.locator("main")).to_contain_text("1.375 in (35 mm)")
    assert Photo.objects.filter(rig=rig).count() == 1
    return rig


def note_and_swap(engineer: Crew, rig: Rig) -> Note:
    page = engineer.go(f"rigs/{rig.pk}/notes/new/")
    page.get_by_label("Guitar mic").check()
    page.get_by_label("What was said").fill("That is wire, not wool.")
    page.get_by_label("reject").check()
    send(page)
    note = Note.objects.get(rig=rig)
    follow(page, "Change something because of this")
    go_on(page, page.locator("main a[href*='/change/inputs/']").first)
    page.get_by_label("Microphone or DI").select_option(label="Corvane Eskvane 4")
    send(page)
    expect(page.locator("main")).to_contain_text("That is wire, not wool.")
    link = ReasonLink.objects.get(note=note)
    assert link.revision.reason_kind == "notes"
    assert str(Input.objects.get(rig=rig).device) == "Corvane Eskvane 4"
    page = engineer.go("changes/")
    expect(page.locator("main")).to_contain_text("Corvane Eskvane 4")
    expect(page.locator("main")).to_contain_text("That is wire, not wool.")
    return note


def refused_without_reason(engineer: Crew, rig: Rig) -> None:
    entry = Input.objects.get(rig=rig)
    page = engineer.go(f"rigs/{rig.pk}/inputs/{entry.pk}/edit/")
    page.get_by_label("Microphone or DI").select_option(label="Corvane Slab 9")
    send(page)
    expect(page.locator("main")).to_contain_text("needs a reason")
    expect(page.get_by_label("Microphone or DI")).to_have_value(
        str(type(entry.device)._default_manager.get(name="Slab 9").pk)
    )
    entry.refresh_from_db()
    assert str(entry.device) == "Corvane Eskvane 4"


def follow_up(engineer: Crew, note: Note) -> None:
    number = ReasonLink.objects.get(note=note).revision.number
    page = engineer.go(f"notes/{note.pk}/follow/{number}/")
    page.get_by_label("it helped").check()
    page.get_by_label("keep").check()
    page.get_by_text("More: gear, song").click()
    page.get_by_label("What it means").fill("Wool.")
    send(page)
    expect(page.locator("main")).to_contain_text("it helped")
    page = engineer.go(f"notes/{note.pk}/")
    expect(page.locator("main")).to_contain_text("settled")


def sign_by_link(engineer: Crew, nobody: Crew, rig: Rig) -> None:
    page = engineer.go(f"rigs/{rig.pk}/")
    follow(page, "Ask Otis Verrall to sign")
    send(page)
    link = page.locator("#link-to-pass-on").input_value()
    phone = nobody.page
    phone.goto(link)
    expect(phone.locator("main")).to_contain_text("A slow door closing.")
    phone.locator(".say-signed textarea").fill("The door closes.")
    go_on(phone, phone.get_by_role("button", name="This is my sound"))
    expect(phone.locator("main")).to_contain_text("Thank you, Otis Verrall")
    sign_off = SignOff.objects.get(rig=rig)
    rig.refresh_from_db()
    assert (sign_off.decision, sign_off.party) == ("signed", "player")
    assert sign_off.revision_digest == rig.head_digest
    phone.goto(link)
    expect(phone.locator("main")).to_contain_text("This link is closed")


def turn_a_knob(tech: Crew, rig: Rig) -> None:
    page = tech.go(f"rigs/{rig.pk}/")
    follow(page, "Thirty-watt head")
    page.get_by_role("textbox", name="Gain").fill("3:00")
    send(page)
    page = tech.go(f"rigs/{rig.pk}/")
    expect(page.locator("main")).to_contain_text("changed since")
    expect(page.locator("main")).to_contain_text("3:00")


def read_and_ask(crew: Crew, rig: Rig) -> None:
    leg = Leg.objects.get()
    page = crew.go(f"handovers/{leg.pk}/")
    section = page.locator("section", has=page.get_by_role("heading", name="Otis Verrall")).first
    expect(section).to_contain_text("A slow door closing.")
    expect(section).to_contain_text("changed since")
    go_on(page, section.get_by_role("button", name="I have read this").first)
    assert Acknowledgement.objects.filter(player=rig.player).count() == 1
    section = page.locator("section", has=page.get_by_role("heading", name="Otis Verrall")).first
    section.locator("details", has=page.locator("textarea")).last.locator("summary").click()
    section.locator("textarea").last.fill("Which fuse does the head take?")
    go_on(page, section.get_by_role("button", name="Ask").last)
    expect(page.locator("main")).to_contain_text("Which fuse does the head take?")
    assert Question.objects.get().player == rig.player


def test_the_main_job_end_to_end(new_context: Any, live_server: Any, stage: World) -> None:
    tech, engineer, crew = (
        Crew(new_context, live_server.url, stage.people[role], stage)
        for role in ("tech", "engineer", "crew")
    )
    nobody = Crew(new_context, live_server.url, None, stage)
    rig = document_a_rig(tech)
    note = note_and_swap(engineer, rig)
    refused_without_reason(engineer, rig)
    follow_up(engineer, note)
    sign_by_link(engineer, nobody, rig)
    turn_a_knob(tech, rig)
    read_and_ask(crew, rig)
    rig.refresh_from_db()
    assert verify_rig(rig) == rig.head_number
