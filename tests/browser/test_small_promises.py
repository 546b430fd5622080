"""Ticked is seen, folded is printed, and a player without sound says so: each script by itself.

What an engine without ::details-content lacks is put on here by taking it away from this one. Event
names are those of the HTML standard (printing; media elements).
"""

from __future__ import annotations

import base64
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

import core
from tests.core.test_colours import contrast

pytestmark = pytest.mark.browser
STATIC = Path(core.__file__).parent / "static" / "core"
STYLE = "".join((STATIC / "css" / f"{n}.css").read_text() for n in ("toneledger", "forms"))
BOXES = """<main>{}</main>""".format(
    "".join(
        f'<input type="{kind}" id="{kind}-{state}" {"checked" if state == "on" else ""}>'
        for kind in ("checkbox", "radio")
        for state in ("on", "off")
    )
)


def show(page: Page, body: str, theme: str = "dark") -> None:
    page.set_content(
        f'<!doctype html><html lang="en" data-theme="{theme}"><head><title>t</title>'
        f"<style>@layer base, shell, forms; {STYLE}</style></head><body>{body}</body></html>"
    )


def script(page: Page, name: str) -> None:
    """A script of ours on a page that has no address, once it ran with the words it imports."""
    words = base64.b64encode((STATIC / "js" / "language.js").read_bytes()).decode()
    source = (STATIC / "js" / f"{name}.js").read_text()
    page.add_script_tag(
        content=source.replace("./language.js", f"data:text/javascript;base64,{words}")
        + f'\nwindow.ran = "{name}";',
        type="module",
    )
    # The tag of a module is there before what it imports has been loaded.
    page.wait_for_function(f"window.ran === '{name}'")


def colours(page: Page, box: str) -> set[str]:
    """Of all the lines and grounds that a box is drawn with, its mark included."""
    found = page.locator(f"#{box}").evaluate(
        """box => ['', '::before'].flatMap(part => {
          const style = getComputedStyle(box, part || null);
          if (part && style.content === 'none') return [];
          return [style.borderBottomColor, style.appearance];
        })"""
    )
    return set(found)


@pytest.mark.parametrize("theme", ["dark", "light"])
@pytest.mark.parametrize("kind", ["checkbox", "radio"])
def test_ticked_is_drawn_by_the_page_and_not_by_colour_alone(
    page: Page, theme: str, kind: str
) -> None:
    """No engine's own drawing is left, so that all draw the same; WCAG 2.2, 1.4.1 and 1.4.11."""
    show(page, BOXES, theme)
    on, off = colours(page, f"{kind}-on"), colours(page, f"{kind}-off")
    assert {each for each in on | off if not each.startswith("rgb")} == {"none"}
    mark = "box => getComputedStyle(box, '::before').content"
    assert page.locator(f"#{kind}-on").evaluate(mark) == '""'
    assert page.locator(f"#{kind}-off").evaluate(mark) == "none"
    ground = page.locator(f"#{kind}-on").evaluate("box => getComputedStyle(box).backgroundColor")
    for each in (on | off) - {"none"}:
        assert contrast(hexadecimal(each), hexadecimal(ground)) >= 3
    shots = {each: page.locator(f"#{kind}-{each}").screenshot() for each in ("on", "off")}
    assert shots["on"] != shots["off"]


def hexadecimal(rgb: str) -> str:
    parts = [int(each) for each in rgb.removeprefix("rgb(").removesuffix(")").split(",")]
    return "#" + "".join(f"{each:02x}" for each in parts)


FOLDED = """<details class="disclosure" id="one"><summary>One</summary><p>In it</p></details>
<details class="disclosure" id="two" open><summary>Two</summary><p>In it</p></details>
<details class="menu" id="menu"><summary>Menu</summary><p>In it</p></details>"""


@pytest.mark.parametrize("lacks", [True, False])
def test_folded_sections_are_open_while_they_are_printed(page: Page, lacks: bool) -> None:
    show(page, FOLDED)
    if lacks:
        page.evaluate("CSS.supports = () => false")
    script(page, "print")
    opened = "() => [...document.querySelectorAll('details[open]')].map(each => each.id)"
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(opened) == (["one", "two"] if lacks else ["two"])
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.evaluate(opened) == ["two"]


TWO_COPIES = """<audio id="it" controls preload="none" aria-label="Play">
  <source src="data:audio/x-strange;base64,AAAA" type="audio/x-strange">
  <source src="data:audio/x-other;base64,AAAA" type="audio/x-other"></audio>"""


def test_what_a_browser_cannot_decode_can_be_downloaded(page: Page) -> None:
    show(page, TWO_COPIES)
    script(page, "sound")
    page.evaluate("it.load()")
    expect(page.get_by_role("alert")).to_contain_text("this browser cannot play this clip")
    link = page.get_by_role("link", name="Download it")
    expect(link).to_have_attribute("href", "data:audio/x-strange;base64,AAAA")
    expect(link).to_have_attribute("download", "")


def test_a_sound_that_came_and_is_not_heard_is_no_question_of_the_network(page: Page) -> None:
    show(page, '<audio id="it" controls preload="none" aria-label="Play"></audio>')
    script(page, "sound")
    for event in ("canplay", "error"):
        page.evaluate(f"it.dispatchEvent(new Event('{event}'))")
    expect(page.get_by_role("alert")).to_contain_text("this device gives no sound")


def test_a_player_without_sound_says_so_and_takes_it_back(page: Page) -> None:
    show(page, '<audio id="it" controls preload="none" aria-label="Play"></audio>')
    script(page, "sound")
    page.evaluate("it.src = 'data:audio/wav;base64,AAAA'; it.play().catch(() => {})")
    expect(page.get_by_role("alert")).to_contain_text("No sound")
    page.evaluate("it.dispatchEvent(new Event('playing'))")
    expect(page.get_by_role("alert")).to_have_count(0)
