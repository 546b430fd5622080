"""Twelve photos of a rig in one go on a phone, one of them damaged, described in one page."""

from __future__ import annotations

import io
from typing import Any
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Browser, FilePayload, Page, expect

from rigs.changes.edits import Add
from rigs.models import Photo, Revision, Unit
from tests.support.phones import PHONE
from tests.support.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
LONG = "Pedal with a name that somebody typed without a blank: " + "Thunderously" * 4


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def picture(number: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (160, 120), (number * 20, 90, 40)).save(out, "JPEG")
    return out.getvalue()


def twelve() -> list[FilePayload]:
    data = [picture(number) for number in range(11)]
    data.insert(4, picture(11)[:200])
    return [
        FilePayload(name=f"IMG_{number:04}.jpg", mimeType="image/jpeg", buffer=each)
        for number, each in enumerate(data, 1)
    ]


def sign_in(page: Page, server: str, world: World, theme: str = "dark") -> None:
    client = Client()
    client.force_login(world.tech)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [
            {"name": settings.SESSION_COOKIE_NAME, "value": session, "url": server},
            {"name": "theme", "value": theme, "url": server},
        ]
    )


def at(server: str, world: World, name: str) -> str:
    return server + reverse(f"rigs:{name}", args=[world.production.pk, world.rig.pk])


def fits(page: Page) -> None:
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SIDEWAYS) <= 0


def bring_twelve(page: Page, server: str, world: World) -> None:
    page.goto(at(server, world, "photo_new"))
    page.locator("input[name=photos]").set_input_files(twelve())
    page.get_by_role("button", name="Add", exact=True).click()
    page.wait_for_url("**/photos/describe/**")


def test_twelve_photos_are_brought_and_described(
    page: Page, live_server: Any, world: World
) -> None:
    world.record(
        *(
            Add(str(uuid4()), "unit", {"name": name, "gear": "pedal", "position": 60 + place})
            for place, name in enumerate(("Tuner", LONG))
        )
    )
    page.set_viewport_size(PHONE)
    sign_in(page, live_server.url, world)
    bring_twelve(page, live_server.url, world)
    told = page.locator(".message")
    expect(told.filter(has_text="11 photos are in.")).to_have_count(1)
    expect(told.filter(has_text="IMG_0005.jpg")).to_contain_text("damaged")
    rows = page.locator(".describe-row")
    expect(rows).to_have_count(11)
    fits(page)
    expect(rows.nth(1).get_by_label("What it shows").locator("option:checked")).to_have_text(
        str(world.unit)
    )
    rows.nth(5).get_by_label("What it shows").select_option(label="Tuner")
    rows.nth(5).get_by_label("Which view").select_option(label="from the back")
    rows.nth(5).get_by_label("Caption").fill("Power from the right")
    before = Revision.objects.count()
    page.get_by_role("button", name="Save all", exact=True).first.click()
    page.wait_for_url("**#photos")
    expect(page.locator("#photos")).to_contain_text("Power from the right")
    assert Revision.objects.count() == before + 1
    described = Photo.objects.get(caption="Power from the right")
    assert (described.about, described.view) == (Unit.objects.get(name="Tuner").pk, "back")
    left = sum(not photo.is_described for photo in Photo.objects.all())
    assert left > 0
    expect(page.locator("#photos").get_by_text("not described yet")).to_have_count(left)
    fits(page)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.get_by_role("link", name="Say what they show").click()
    page.wait_for_url("**/photos/describe/")
    expect(rows).to_have_count(left)
    fits(page)


def test_it_works_without_scripts_in_the_light_theme(
    browser: Browser, live_server: Any, world: World
) -> None:
    context = browser.new_context(java_script_enabled=False, viewport=PHONE)
    page = context.new_page()
    sign_in(page, live_server.url, world, "light")
    bring_twelve(page, live_server.url, world)
    row = page.locator(".describe-row").nth(2)
    row.get_by_label("What it shows").select_option(label="The rig as a whole")
    row.get_by_role("button", name="place a pin").click()
    page.wait_for_url("**/pins/new/")
    assert Photo.objects.count() == 11
    assert Photo.objects.filter(about=None).exclude(view="").count() == 2
    context.close()


@pytest.mark.parametrize(("width", "theme"), [(390, "light"), (1280, "dark")])
def test_the_list_of_rigs_with_pictures_has_nothing_wrong(
    page: Page, live_server: Any, world: World, width: int, theme: str
) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    sign_in(page, live_server.url, world, theme)
    bring_twelve(page, live_server.url, world)
    fits(page)
    page.get_by_role("button", name="Save all", exact=True).first.click()
    page.wait_for_url("**#photos")
    page.goto(live_server.url + reverse("rigs:index", args=[world.production.pk]))
    expect(page.locator("img.rig-cover")).to_have_count(1)
    fits(page)
