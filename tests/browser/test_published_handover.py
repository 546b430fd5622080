"""A handover at the width of a telephone: published, read, marked as read, asked about."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.core import mail
from playwright.sync_api import Page, expect

from core.models import Leg
from notes.models import Acknowledgement, PublishedHandover, Question
from tests.browser.test_main_path import Crew, follow, go_on, send
from tests.support.world import HIRE, World, make_world

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.each_database,
]


def fits(page: Page) -> None:
    """Nothing scrolls sideways."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def publish(engineer: Crew, leg: Leg) -> PublishedHandover:
    page = engineer.go(f"handovers/{leg.pk}/")
    follow(page, "Publish")
    expect(page.locator("main")).to_contain_text("Nobody has written the opening words")
    fits(page)
    send(page)
    expect(page.locator("main")).to_contain_text("is published")
    return PublishedHandover.objects.latest("number")


def read_it(crew: Crew, made: PublishedHandover, world: World) -> None:
    page = crew.go(f"handovers/published/{made.pk}/")
    expect(page.locator("main")).to_contain_text("You have read 0 of 2 sections.")
    follow(page, "Backline tech")
    follow(page, "Full version")
    expect(page.locator(".sheet-head").first).to_have_text("Units, settings and spares")
    fits(page)
    section = page.locator(f"#player-{world.player.pk}")
    go_on(page, section.get_by_role("button", name="I have read this"))
    expect(page.locator(f"#player-{world.player.pk}")).to_contain_text("you read it on")
    # One reads on in the order one had chosen.
    expect(page.locator(".sheet-head").first).to_have_text("Units, settings and spares")
    assert Acknowledgement.objects.get().published == made


def ask(crew: Crew, world: World) -> None:
    section = crew.page.locator(f"#player-{world.player.pk}")
    section.locator("summary", has_text="Ask about this").click()
    go_on(crew.page, section.get_by_role("button", name="Ask"))
    # What is missing is said where it was typed, and the page is there.
    expect(section.locator("form .field-errors").first).to_be_in_viewport()
    section.get_by_label("Your question").fill("Which fuse?")
    section.get_by_label("Who should answer").select_option(label=world.tech.name)
    go_on(crew.page, section.get_by_role("button", name="Ask"))
    expect(crew.page.locator("main")).to_contain_text(f"owed by {world.tech.name}")
    assert Question.objects.get().owed_by == world.tech


def remind(engineer: Crew, leg: Leg) -> None:
    page = engineer.go(f"handovers/{leg.pk}/reminders/")
    expect(page.locator("main")).to_contain_text("Which fuse?")
    fits(page)
    send(page)
    expect(page.locator("main")).to_contain_text("Reminded:")


def test_published_read_asked_and_reminded(
    new_context: Any, live_server: object, transactional_db: None
) -> None:
    world = make_world()
    today = date.today()
    leg = Leg.objects.create(
        production=world.production,
        name="Winter halls",
        starts_on=today + timedelta(days=4),
        ends_on=today + timedelta(days=20),
    )
    server = str(live_server)
    engineer = Crew(new_context, server, world.engineer, world)
    crew = Crew(new_context, server, world.people["crew"], world)
    made = publish(engineer, leg)
    read_it(crew, made, world)
    ask(crew, world)
    remind(engineer, leg)
    assert {message.to[0] for message in mail.outbox} == {
        world.engineer.email,
        world.tech.email,
        world.people["crew"].email,
        world.people["monitors"].email,
    }
    world.swap(world.other_mic, HIRE)
    page = crew.go(f"handovers/published/{made.pk}/")
    expect(page.locator("#since")).to_contain_text("Corvane Eskvane 4")
    expect(page.locator("#since")).to_contain_text("Ours is in repair.")
    newer = publish(engineer, leg)
    page = crew.go(f"handovers/published/{newer.pk}/")
    section = page.locator(f"#player-{world.player.pk}")
    expect(section).to_contain_text("changed since you read it")
    follow(page, "What changed from the one before")
    expect(page.locator("main")).to_contain_text("From Handover 1 to Handover 2")
    expect(page.locator("main")).to_contain_text("Corvane Eskvane 4")
    fits(page)
