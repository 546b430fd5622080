"""The choice of colours, and pages that must work when nothing else does."""

from __future__ import annotations

import pytest
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.test import Client
from django.urls import include, path
from django.utils.html import conditional_escape

from core.access.views import public
from core.models import User
from core.telephone.urls import urlpatterns as telephone_urls
from core.urls_offline import urlpatterns as offline_urls
from core.views import errors
from core.views.styleguide import styleguide
from core.views.theme import theme


@public
def anywhere(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("here")


_core = [
    path("", anywhere, name="home"),
    path("theme/", theme, name="theme"),
    path("language/", anywhere, name="language"),
    path("login/", anywhere, name="login"),
    path("logout/", anywhere, name="logout"),
    path("account/", anywhere, name="account"),
    *offline_urls,
    *telephone_urls,
]
urlpatterns = [path("", include((_core, "core"))), path("style/", styleguide)]
handler404 = "core.views.errors.not_found"

pytestmark = [pytest.mark.urls(__name__)]


@pytest.mark.django_db
def test_the_choice_is_kept_for_a_year_and_the_page_is_shown_again(client: Client) -> None:
    answer = client.post("/theme/", {"theme": "light", "next": "/account/?tab=1"})
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/account/?tab=1"
    cookie = answer.cookies["theme"]
    assert (cookie.value, cookie["max-age"], cookie["samesite"]) == ("light", 31536000, "Lax")
    assert cookie["httponly"] is True


@pytest.mark.parametrize("elsewhere", ["https://example.org/", "//example.org/", ""])
def test_nobody_is_sent_to_another_site(client: Client, elsewhere: str) -> None:
    answer = client.post("/theme/", {"theme": "dark", "next": elsewhere})
    assert answer.headers["Location"] == "/"


def test_a_script_gets_no_page_back(client: Client) -> None:
    answer = client.post("/theme/", {"theme": "auto"}, headers={"X-Requested-With": "fetch"})
    assert (answer.status_code, answer.content) == (204, b"")
    assert answer.cookies["theme"].value == "auto"


def test_an_unknown_choice_is_refused(client: Client) -> None:
    answer = client.post("/theme/", {"theme": "sepia"})
    assert (answer.status_code, answer.content) == (400, b"Choose dark, light or auto.")
    assert "theme" not in answer.cookies


def test_looking_changes_nothing(client: Client) -> None:
    assert client.get("/theme/").status_code == 405


@pytest.mark.parametrize(
    ("cookie", "shown"), [(None, "auto"), ("light", "light"), ("dark", "dark"), ('"><b>', "auto")]
)
@pytest.mark.django_db
def test_the_page_comes_in_the_chosen_colours(
    client: Client, cookie: str | None, shown: str
) -> None:
    if cookie:
        client.cookies["theme"] = cookie
    assert f'<html lang="en-gb" data-theme="{shown}">' in client.get("/style/").text


@pytest.mark.django_db
def test_a_person_has_their_choice_on_every_device(client: Client) -> None:
    person = User.objects.create_user("ada@example.org", "Ada", "long-enough-1")
    client.force_login(person)
    client.cookies["theme"] = "dark"
    assert 'data-theme="dark"' in client.get("/style/").text  # nothing chosen: as on this device
    client.post("/theme/", {"theme": "light"})
    another = Client()
    another.force_login(person)
    another.cookies["theme"] = "dark"
    assert 'data-theme="light"' in another.get("/style/").text
    another.post("/theme/", {"theme": "auto"})
    assert 'data-theme="auto"' in client.get("/style/").text


@pytest.mark.django_db
@pytest.mark.urls("core.urls")
def test_logging_in_brings_the_choice_to_the_device(client: Client) -> None:
    person = User.objects.create_user("ada@example.org", "Ada", "long-enough-1", theme="light")
    sent = {"username": person.email, "password": "long-enough-1"}
    assert client.post("/login/", sent).status_code == 302
    client.post("/logout/")
    assert 'data-theme="light"' in client.get("/login/").text


@pytest.mark.django_db
@pytest.mark.urls("core.urls")
def test_logging_in_without_a_choice_leaves_the_device_alone(client: Client) -> None:
    person = User.objects.create_user("ada@example.org", "Ada", "long-enough-1")
    sent = {"username": person.email, "password": "long-enough-1"}
    assert "theme" not in client.post("/login/", sent).cookies


@pytest.mark.django_db
def test_pages_hold_nothing_that_a_strict_policy_forbids(client: Client) -> None:
    page = client.get("/style/").text
    assert "<style" not in page
    assert "style=" not in page
    assert "<script>" not in page
    assert " onclick=" not in page


@pytest.mark.parametrize("trouble", [errors.BAD_REQUEST, errors.EXPIRED, errors.FORBIDDEN])
def test_an_error_page_says_what_to_do(trouble: errors.Trouble) -> None:
    page = render_to_string("core/error.html", {"trouble": trouble})
    assert f"<h1>{trouble.heading}</h1>" in page
    assert conditional_escape(trouble.text) in page
    assert f"icon-{trouble.icon}" in page


def test_what_is_not_there_is_answered_in_the_frame(client: Client) -> None:
    answer = client.get("/nowhere/")
    assert answer.status_code == 404
    assert f"<h1>{errors.NOT_FOUND.heading}</h1>" in answer.text


def test_the_page_for_a_fault_needs_nothing() -> None:
    page = render_to_string("500.html")
    assert "<h1>Something broke here</h1>" in page
    assert 'href="/static/core/css/toneledger.css"' in page


@pytest.mark.django_db
def test_a_page_that_sends_no_origin_can_change_the_colours_too() -> None:
    # What Chromium sends from a page with Referrer-Policy: no-referrer.
    client = Client(enforce_csrf_checks=True)
    response = client.post("/theme/", {"theme": "light"}, headers={"Origin": "null"})
    assert response.status_code == 302
    assert response.cookies["theme"].value == "light"
