"""The pictures of the guides, from the demonstration as it is served in use.

    python -m tests.bench.pictures [name …]

Writes docs/pictures/<name>.webp: all of them, or those that are named. Pages are shown as a phone
shows them in the dark (390 px), a few as a computer does (1280 px), cut to what a guide speaks of.
The demonstration is loaded into a folder that is gone afterwards: forms may be sent. Where a
picture is too large its quality is lowered, down to where that would show; then it fails.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from PIL import Image
from playwright.sync_api import Browser, FilePayload, FloatRect, Locator, Page, sync_playwright

from tests.bench.lighthouse import demonstration
from tests.conftest import find_browser
from tests.support.loaded import ROOT
from tests.support.phones import PHONE, QUIET

FOLDER = ROOT / "docs" / "pictures"
MOST_BYTES = 60_000
QUALITIES = (80, 70, 60, 50)
HIGHEST = 1200  # of a picture, in CSS pixels: a reader scrolls past it with one stroke
MARGIN = 12
WIDE = {"width": 1280, "height": 800}
PASSWORD = "weir-demo-2026"
ENGINEER, TECH, CREW = "greta@ninefold.example", "bram@ninefold.example", "jonah@ninefold.example"
# Bars that stay in place would lie over what is cut out below them.
NO_BARS = ".thumb-nav, .rig-nav { display: none !important }"

Shown = list[Locator] | None
Show = Callable[["Visit"], Shown]


class Picture(NamedTuple):
    """Shows the page and gives what it is cut to, or None for the screen as it is."""

    show: Show
    who: str
    is_wide: bool


PICTURES: dict[str, Picture] = {}


def picture(who: str, *, wide: bool = False) -> Callable[[Show], Show]:
    """Its name is that of the function."""

    def register(show: Show) -> Show:
        PICTURES[show.__name__.replace("_", "-")] = Picture(show, who, wide)
        return show

    return register


class Visit:
    """A person in front of the demonstration."""

    def __init__(self, page: Page, url: str, who: str) -> None:
        self.page, self.url = page, url
        page.goto(f"{url}/login/")
        page.fill("[name=username]", who)
        page.fill("[name=password]", PASSWORD)
        with page.expect_navigation():
            page.click("main button.button-primary")
        page.goto(url)
        self.place = url + str(page.locator("main .card-title a").first.get_attribute("href"))

    def open(self, path: str) -> None:
        self.page.goto(self.place + path)

    def follow(self, name: str, within: str = "main", *, exact: bool = False) -> None:
        link = self.page.locator(within).get_by_role("link", name=name, exact=exact).first
        self.page.goto(str(link.evaluate("link => link.href")))

    def press(self, name: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name, exact=True).first.click()

    def rig(self, name: str) -> None:
        self.open("rigs/")
        self.follow(name)

    def next_show(self, link: str) -> None:
        self.page.goto(self.place)
        self.follow(link)

    def at(self, selector: str, words: str = "") -> Locator:
        return self.page.locator(selector).filter(has_text=words).first


@picture(ENGINEER)
def overview(visit: Visit) -> Shown:
    visit.page.goto(visit.place)
    return None


@picture(TECH)
def rig(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    return None


@picture(ENGINEER, wide=True)
def rig_wide(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    return None


@picture(ENGINEER, wide=True)
def input_list(visit: Visit) -> Shown:
    visit.open("inputs/")
    return None


@picture(TECH)
def link_to_pass_on(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    visit.follow("to sign")
    visit.press("Make the link")
    return [visit.at("main h1"), visit.at("main button", "Copy the link")]


@picture(TECH)
def is_this_your_sound(visit: Visit) -> Shown:
    visit.rig("Bass main")
    visit.follow("to sign")
    visit.press("Make the link")
    visit.page.goto(visit.page.locator("main input[readonly]").first.input_value())
    return None


@picture(TECH)
def list_read(visit: Visit) -> Shown:
    rows = "Ch,Source,Mic,48V,Dist\nCHOIR,,,,\n31,Choir left,Arden S3 (cond),yes,1.2m\n"
    rows += "32,Choir right,Arden S3 (cond),NO!!,25mm off grille\n"
    visit.open("inputs/")
    visit.follow("Import a list")
    field = visit.page.locator("input[type=file]")
    field.set_input_files(FilePayload(name="choir.csv", mimeType="text/csv", buffer=rows.encode()))
    visit.press("Look at its rows")
    return [visit.at("main h1"), visit.at("main .card", "CHOIR")]


@picture(TECH)
def units_read(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    visit.follow("Several", "#units")
    visit.page.fill(
        "[name=lines]", "Squeeze, comp, , on, -18\nHead, valve head, Tarn Fifty, 10, 7, 5"
    )
    visit.press("Add them")
    return [visit.at("main h1"), visit.page.locator("main fieldset, main .card").last]


@picture(TECH)
def path_in_words(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    visit.follow("Type the path")
    visit.page.fill(
        "[name=words]",
        "long > wireless > switcher; send 1 > drive > return 1; out > combo",
    )
    visit.page.get_by_role("heading", name="Cables (").wait_for()
    return [visit.at("main h1"), visit.at("main summary", "The path in words")]


@picture(TECH)
def microphone_in_place(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    visit.follow("Add an input", "#inputs")
    visit.page.fill("[name=name]", "Stage-left guitar room")
    visit.page.get_by_label("Or a new one, in a few words").fill("condenser omni, Tarn Wide")
    read = visit.page.get_by_text("Taken as needing phantom power")
    read.wait_for()
    return [visit.page.locator("[name=number]"), read]


@picture(TECH)
def inputs_read(visit: Visit) -> Shown:
    visit.rig("Drum kit")
    visit.follow("Several", "#inputs")
    visit.page.fill(
        "[name=lines]",
        "31 Kick port, Bollard, 5 cm\n32 Snare side, Thimble, 4 cm from the rim, 45°",
    )
    visit.press("Show what was read")
    return [visit.at("main h1"), visit.at("main button", "Add them")]


@picture(TECH)
def several_sources(visit: Visit) -> Shown:
    visit.rig("Drum kit")
    visit.follow("Overhead", "#inputs")
    visit.follow("Edit", exact=True)
    sources = visit.at("main details", "Several sources")
    if sources.get_attribute("open") is None:
        sources.locator("summary").click()
    return [visit.page.get_by_label("Takes its sound from"), sources]


@picture(TECH)
def pins(visit: Visit) -> Shown:
    visit.rig("Drum kit")
    visit.follow("The kit from the front", "#photos")
    return [visit.at("main h1"), visit.page.get_by_role("heading", name="What the pins show")]


@picture(TECH)
def scenes(visit: Visit) -> Shown:
    visit.rig("Stage-right guitar")
    visit.follow("3 Long echo", ".scene-choice")
    return [visit.page.locator(".scene-choice"), visit.at("#path summary")]


@picture(TECH)
def set_of_a_show(visit: Visit) -> Shown:
    visit.next_show("Set")
    return None


@picture(TECH)
def note(visit: Visit) -> Shown:
    visit.rig("Stage-left guitar")
    visit.page.goto(f"{visit.page.url.split('#')[0]}notes/new/")
    return None


@picture(ENGINEER)
def changes(visit: Visit) -> Shown:
    visit.open("changes/")
    return None


@picture(ENGINEER)
def history(visit: Visit) -> Shown:
    visit.rig("Stage-right guitar")
    visit.follow("History")
    return None


@picture(ENGINEER)
def line_check(visit: Visit) -> Shown:
    visit.next_show("Line check")
    return None


@picture(CREW)
def handover(visit: Visit) -> Shown:
    visit.open("handovers/")
    visit.follow("Winter halls")
    return None


def cut(shown: list[Locator], page: Page) -> FloatRect:
    """From the first to the last that is shown, over the whole width of the page."""
    boxes = [locator.bounding_box() for locator in shown]
    tops = [box["y"] for box in boxes if box]
    ends = [box["y"] + box["height"] for box in boxes if box]
    scrolled = page.evaluate("scrollY")
    top = max(0, scrolled + min(tops) - MARGIN)
    height = min(HIGHEST, scrolled + max(ends) + MARGIN - top)
    size = page.viewport_size
    assert size is not None
    return {"x": 0, "y": top, "width": size["width"], "height": height}


def taken(visit: Visit, show: Show) -> Image.Image:
    shown = show(visit)
    visit.page.wait_for_load_state("networkidle")
    if shown is None:
        png = visit.page.screenshot(animations="disabled")
    else:
        clip = cut(shown, visit.page)
        png = visit.page.screenshot(animations="disabled", full_page=True, clip=clip, style=NO_BARS)
    return Image.open(io.BytesIO(png)).convert("RGB")


def write(image: Image.Image, path: Path) -> None:
    for quality in QUALITIES:
        image.save(path, "WEBP", quality=quality, method=6)
        if path.stat().st_size < MOST_BYTES:
            return
    raise SystemExit(f"{path.name} has {path.stat().st_size} bytes; show less of the page.")


def take(browser: Browser, url: str, name: str) -> None:
    wanted = PICTURES[name]
    context = browser.new_context(
        viewport=WIDE if wanted.is_wide else PHONE,
        device_scale_factor=1 if wanted.is_wide else 1.5,
        is_mobile=not wanted.is_wide,
        has_touch=not wanted.is_wide,
        color_scheme="dark",
        bypass_csp=True,  # for the style that takes bars away
        service_workers="block",
    )
    try:
        image = taken(Visit(context.new_page(), url, wanted.who), wanted.show)
    finally:
        context.close()
    write(image, FOLDER / f"{name}.webp")
    print(f"{name}: {image.width} × {image.height}", flush=True)


def main(names: list[str]) -> None:
    FOLDER.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        demonstration(Path(folder)) as url,
        sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=find_browser(), args=list(QUIET))
        for name in names or PICTURES:
            take(browser, url, name)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1:])
