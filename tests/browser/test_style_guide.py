"""The style guide in a real browser: accessibility, narrow screens, and what the scripts do.

Outside source: the rules of axe-core (Deque), which follow WCAG 2.2.
"""

from __future__ import annotations

import time

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from playwright.sync_api import Page, expect

from core.access.views import public
from core.telephone.urls import urlpatterns as telephone_urls
from core.urls_offline import urlpatterns as offline_urls
from core.views.styleguide import styleguide
from core.views.theme import theme


@public
def anywhere(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("<!doctype html><title>Elsewhere</title>")


@public
def slow(request: HttpRequest) -> HttpResponse:
    slow_calls.append(request.method or "")
    time.sleep(0.5)
    return anywhere(request)


slow_calls: list[str] = []
_names = ("home", "login", "logout", "account")
_core = [path(f"{name}/", anywhere, name=name) for name in _names]
_core += [path("theme/", theme, name="theme"), *offline_urls, *telephone_urls]
urlpatterns = [
    path("", include((_core, "core"))),
    path("style/", styleguide),
    path("slow/", slow),
]

pytestmark = [pytest.mark.browser, pytest.mark.urls(__name__)]


@pytest.fixture
def guide(live_server: object, page: Page) -> Page:
    page.goto(f"{live_server}/style/")
    return page


def choose(page: Page, live_server: object, colours: str) -> None:
    page.context.add_cookies([{"name": "theme", "value": colours, "url": str(live_server)}])
    page.reload()


@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("colours", ["dark", "light"])
def test_nobody_is_shut_out(guide: Page, live_server: object, colours: str, width: int) -> None:
    guide.set_viewport_size({"width": width, "height": 800})
    choose(guide, live_server, colours)
    found = Axe().run(guide)
    assert found.violations_count == 0, found.generate_report()
    assert guide.evaluate("document.documentElement.scrollWidth") <= width


def test_targets_are_big_enough_for_a_thumb(guide: Page) -> None:
    guide.set_viewport_size({"width": 390, "height": 844})
    small = guide.evaluate(
        """[...document.querySelectorAll("a, button, summary, select, textarea, label:has(input)")]
        .filter((one) => getComputedStyle(one).display !== "inline" || one.matches("label"))
        .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
        .filter(([, box]) => box.width > 1 && Math.min(box.width, box.height) < 43.5)
        .map(([html]) => html)"""
    )
    assert small == []


def test_no_script_or_style_breaks_the_policy(live_server: object, page: Page) -> None:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(f"{live_server}/style/")
    # The guide shows a date that is none, in order to show the error; the browser remarks on it.
    assert [line for line in said if "yyyy-MM-dd" not in line] == []


def test_colours_change_at_once_and_stay(guide: Page) -> None:
    guide.evaluate("document.body.dataset.same = 'page'")
    light = guide.get_by_role("button", name="Light")
    with guide.expect_response("**/theme/") as answer:
        light.click()
    assert answer.value.status == 204
    assert guide.evaluate("document.documentElement.dataset.theme") == "light"
    assert guide.evaluate("document.body.dataset.same") == "page"
    expect(light).to_have_attribute("aria-pressed", "true")
    guide.reload()
    expect(guide.locator("html")).to_have_attribute("data-theme", "light")


def test_escape_closes_a_menu_and_gives_the_focus_back(guide: Page) -> None:
    guide.set_viewport_size({"width": 390, "height": 844})
    more = guide.locator(".thumb-nav summary")
    more.click()
    expect(guide.get_by_role("link", name="Trials")).to_be_visible()
    guide.keyboard.press("Tab")
    guide.keyboard.press("Escape")
    expect(guide.get_by_role("link", name="Trials")).to_be_hidden()
    expect(more).to_be_focused()


def test_a_click_elsewhere_closes_a_menu(guide: Page) -> None:
    guide.set_viewport_size({"width": 390, "height": 844})
    guide.locator(".thumb-nav summary").click()
    guide.locator("h1").click()
    expect(guide.get_by_role("link", name="Trials")).to_be_hidden()


@pytest.mark.parametrize(("typed", "asked"), [(True, ["beforeunload"]), (False, [])])
def test_typed_text_is_not_lost_by_leaving(guide: Page, typed: bool, asked: list[str]) -> None:
    # The second form came back with errors, so it counts as typed from the start.
    guide.evaluate("document.querySelector('[data-guard=typed]').remove()")
    questions: list[str] = []
    guide.on("dialog", lambda dialog: (questions.append(dialog.type), dialog.accept()))
    if typed:
        guide.locator("#id_label").fill("Bass direct")
    else:
        guide.locator("#id_label").click()
    guide.goto("about:blank")
    assert questions == asked


def test_a_form_that_came_back_with_errors_counts_as_typed(guide: Page) -> None:
    questions: list[str] = []
    guide.on("dialog", lambda dialog: (questions.append(dialog.type), dialog.accept()))
    guide.locator("h1").click()  # browsers ask only after the page was touched
    guide.goto("about:blank")
    assert questions == ["beforeunload"]


def test_a_form_is_sent_once(guide: Page) -> None:
    slow_calls.clear()
    # The second press comes while the first is still on its way.
    guide.locator("form[data-once]").first.evaluate(
        """form => {
          form.action = "/slow/";
          form.method = "get";
          const save = form.querySelector("button");
          save.click();
          setTimeout(() => save.click(), 150);
        }"""
    )
    expect(guide).to_have_title("Elsewhere")
    assert slow_calls == ["GET"]
