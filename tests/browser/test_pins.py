"""Pins by finger and by keyboard, on the same spot of the picture at every width, and on paper."""

from __future__ import annotations

import io
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from rigs.models import Photo, Pin
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 900}


@pytest.fixture
def world(transactional_db: None, settings: Any, tmp_path: Any) -> World:
    settings.MEDIA_ROOT = tmp_path
    return make_world()


@pytest.fixture
def photo(world: World) -> Photo:
    return add_photo(world, about=world.unit.pk)


@pytest.fixture
def desk(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport=DESK)
    yield signed_in(context, world, live_server).new_page()
    context.close()


def signed_in(context: BrowserContext, world: World, server: Any) -> BrowserContext:
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(server)}])
    return context


def opened(page: Page, server: Any, world: World, name: str, *parts: Any) -> Page:
    page.goto(f"{server}{at(world, name, *parts)}")
    return page


def decoded(page: Page) -> None:
    """Wait for the picture, which has its size on the screen only once it is decoded."""
    page.evaluate("() => document.querySelector('.pinned img').decode()")


def spots(page: Page) -> list[tuple[float, float]]:
    """Where the points of the pins are on the picture, as fractions, measured on the screen."""
    decoded(page)
    found = page.evaluate(
        """() => {
          const box = document.querySelector('.pinned img').getBoundingClientRect();
          return [...document.querySelectorAll('.pin-point')].map((point) => {
            const at = point.getBoundingClientRect();
            return [(at.x + at.width / 2 - box.x) / box.width,
                    (at.y + at.height / 2 - box.y) / box.height];
          });
        }"""
    )
    return [(x, y) for x, y in found]


def test_pins_stay_on_their_spots_whatever_the_width(
    world: World, live_server: Any, desk: Page, photo: Photo
) -> None:
    placed = [("0", "0"), ("1", "1"), ("0.3333", "0.1"), ("0.8125", "0.7")]
    for n, (x, y) in enumerate(placed):
        add_pin(world, photo, words=f"pin {n}", x=x, y=y, position=n)
    opened(desk, live_server, world, "photo", photo)
    for size in (PHONE, DESK, {"width": 2000, "height": 700}):
        desk.set_viewport_size(size)  # type: ignore[arg-type]
        for (x, y), seen in zip(placed, spots(desk), strict=True):
            assert seen == (pytest.approx(float(x), abs=0.004), pytest.approx(float(y), abs=0.004))


def test_a_pin_is_placed_by_a_finger(
    world: World, live_server: Any, phone: Page, photo: Photo
) -> None:
    opened(phone, live_server, world, "photo", photo)
    phone.get_by_role("link", name="Place a pin").tap()
    phone.wait_for_url("**/pins/new/")
    decoded(phone)
    box = phone.locator(".pinned img").bounding_box()
    assert box is not None
    phone.touchscreen.tap(box["x"] + box["width"] * 0.2, box["y"] + box["height"] * 0.75)
    assert spots(phone)[-1] == (pytest.approx(0.2, abs=0.01), pytest.approx(0.75, abs=0.01))
    phone.get_by_label("What it points at").select_option("Gain")
    phone.get_by_role("button", name="Save", exact=True).tap()
    expect(phone.get_by_text("The pin is on the photo.")).to_be_visible()
    pin = Pin.objects.get()
    assert (float(pin.x), float(pin.y)) == (
        pytest.approx(0.2, abs=0.01),
        pytest.approx(0.75, abs=0.01),
    )
    assert pin.about == world.control.pk
    assert spots(phone) == [
        (pytest.approx(float(pin.x), abs=0.01), pytest.approx(float(pin.y), abs=0.01))
    ]


def test_a_pin_is_placed_by_keyboard_alone(
    world: World, live_server: Any, desk: Page, photo: Photo
) -> None:
    opened(desk, live_server, world, "pin_new", photo)
    pin = desk.get_by_role("slider", name="The pin")
    for _ in range(40):
        if pin.evaluate("(element) => element === document.activeElement"):
            break
        desk.keyboard.press("Tab")
    expect(pin).to_be_focused()
    for key in ("ArrowLeft", "ArrowLeft", "Shift+ArrowRight", "Shift+ArrowUp", "ArrowDown"):
        desk.keyboard.press(key)
    expect(pin).to_have_attribute("aria-valuetext", "53 % from the left, 46 % from the top")
    assert spots(desk)[-1] == (pytest.approx(0.53, abs=0.004), pytest.approx(0.46, abs=0.004))
    for _ in range(30):
        desk.keyboard.press("Shift+ArrowUp")
    desk.keyboard.press("Tab")
    desk.keyboard.press("Tab")
    desk.keyboard.type("the switch")
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("The pin is on the photo.")).to_be_visible()
    kept = Pin.objects.get()
    assert (kept.x, kept.y, kept.words) == (Decimal("0.53"), 0, "the switch")


def test_a_pin_is_dragged_and_the_fields_move_it_too(
    world: World, live_server: Any, desk: Page, photo: Photo
) -> None:
    pin = add_pin(world, photo, words="here", x="0.5", y="0.5")
    opened(desk, live_server, world, "pin_edit", pin)
    decoded(desk)
    head = desk.locator(".is-draft .pin-head").bounding_box()
    box = desk.locator(".pinned img").bounding_box()
    assert head is not None
    assert box is not None
    x, y = head["x"] + head["width"] / 2, head["y"] + head["height"] / 2
    desk.mouse.move(x, y)
    desk.mouse.down()
    desk.mouse.move(x + box["width"] * 0.25, y + box["height"] * 0.1, steps=4)
    desk.mouse.up()
    assert spots(desk)[-1] == (pytest.approx(0.75, abs=0.01), pytest.approx(0.6, abs=0.01))
    desk.get_by_label("From the left").fill("12.5")
    assert spots(desk)[-1][0] == pytest.approx(0.125, abs=0.004)
    desk.get_by_role("button", name="Save", exact=True).click()
    expect(desk.get_by_text("The pin is saved.")).to_be_visible()
    pin.refresh_from_db()
    assert pin.x == Decimal("0.125")


def test_a_pin_leads_to_its_line_and_every_target_is_large_enough(
    world: World, live_server: Any, phone: Page, photo: Photo
) -> None:
    add_pin(world, photo, world.control, position=1)
    add_pin(world, photo, world.input, position=2, x="0.9")
    opened(phone, live_server, world, "photo", photo)
    phone.get_by_role("link", name="Pin 2: 7 Bass mic").tap()
    expect(phone.locator("#pin-2:target")).to_be_visible()
    for reach in phone.locator(".pin-reach, .legend a, .legend button").all():
        box = reach.bounding_box()
        assert box is not None
        assert box["height"] >= 44


def test_what_is_printed_has_the_legend(
    world: World, live_server: Any, desk: Page, photo: Photo
) -> None:
    add_pin(world, photo, world.control, position=1, words="the left one")
    add_pin(world, photo, world.input, position=2)
    opened(desk, live_server, world, "photo", photo)
    (page,) = pypdfium2.PdfDocument(io.BytesIO(desk.pdf(format="A4")))
    text = " ".join(page.get_textpage().get_text_range().split())
    for told in (
        "Front of the head",
        "Gain 2:30 the left one",
        "7 Bass mic Corvane Hollow 2",
        "35 mm (1.4 in) from grille",
    ):
        assert told in text
    assert "Place a pin" not in text
    assert any(isinstance(o, pypdfium2.PdfImage) for o in page.get_objects(max_depth=5))


def test_two_photos_are_wiped_by_keyboard_and_by_finger(
    world: World, live_server: Any, phone: Page, photo: Photo
) -> None:
    later = add_photo(world, "After", about=world.unit.pk, colour="navy")
    opened(phone, live_server, world, "photos_beside", later)
    first, second = (box.bounding_box() for box in phone.locator(".beside-one").all())
    assert first is not None
    assert second is not None
    assert second["y"] >= first["y"] + first["height"]  # one below the other on a phone
    phone.get_by_role("button", name="One over the other").tap()
    wipe = phone.get_by_label("How much the earlier photo shows")
    wipe.focus()
    wipe.press("ArrowRight")
    assert wipe.input_value() == "51"
    assert clip(phone) == "inset(0px 0px 0px 51%)"
    frame = phone.locator("[data-over-frame]").bounding_box()
    assert frame is not None
    phone.touchscreen.tap(frame["x"] + frame["width"] * 0.2, frame["y"] + 40)
    assert clip(phone) == "inset(0px 0px 0px 20%)"


def clip(page: Page) -> str:
    return str(page.evaluate("getComputedStyle(document.querySelector('.over-2')).clipPath"))


def test_axe_finds_nothing_on_the_pages_of_a_photo(
    world: World, live_server: Any, desk: Page, photo: Photo
) -> None:
    pin = add_pin(world, photo, world.control)
    add_photo(world, "After", about=world.unit.pk, colour="navy")
    add_photo(world, "Later still", about=world.unit.pk, colour="green")
    said: list[str] = []
    desk.on("console", lambda message: said.append(message.text))
    for name, part in (
        ("photo", photo),
        ("pin_new", photo),
        ("pin_edit", pin),
        ("photos_beside", photo),
    ):
        opened(desk, live_server, world, name, part)
        if name == "photos_beside":
            desk.get_by_role("button", name="One over the other").click()
        found = Axe().run(desk)
        assert found.violations_count == 0, found.generate_report()
    assert said == []
