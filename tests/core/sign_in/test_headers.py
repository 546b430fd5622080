"""What every page tells a browser (OWASP ASVS 5.0.0, 3.4)."""

from __future__ import annotations

from typing import Any

from django.test import Client
from django.urls import reverse

from tests.support.pages import as_user
from tests.support.world import make_user


def test_every_page_says_how_it_may_be_used(db: None) -> None:
    for client, name in ((Client(), "core:login"), (as_user(make_user("Ada")), "core:account")):
        answer = client.get(reverse(name))
        policy = answer.headers["Content-Security-Policy"]
        for rule in ("object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"):
            assert rule in policy
        assert "unsafe" not in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
        assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin"


def test_so_does_what_is_no_page(settings: Any) -> None:
    settings.WHITENOISE_AUTOREFRESH = settings.WHITENOISE_USE_FINDERS = True
    for address in ("/static/core/img/mark.svg", "/static/core/js/once.js", "/healthz"):
        answer = Client().get(address)
        assert answer.status_code == 200
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]


def test_text_says_how_it_is_encoded(db: None) -> None:
    """OWASP ASVS 5.0.0, 4.1.1."""
    client = Client()
    for address in ("/theme/", "/language/"):
        answer = client.post(address, {})
        assert answer.status_code == 400
        assert answer.headers["Content-Type"] == "text/plain; charset=utf-8"


def test_no_cache_on_the_way_keeps_what_is_of_one_person(db: None) -> None:
    """RFC 9111, 5.2.2.7."""
    client = as_user(make_user("Ada"))
    assert client.get(reverse("core:account")).headers["Cache-Control"] == "private"
    # Where a page says more, that holds.
    assert "no-store" in client.get(reverse("core:token")).headers["Cache-Control"]


def test_cookies_stay_here(db: None) -> None:
    user = make_user("Ada")
    client = Client()
    given = {"username": user.email, "password": "long-enough-1"}
    client.post(reverse("core:login"), given)
    assert {"sessionid", "csrftoken", "device"} <= set(client.cookies)
    for name, cookie in client.cookies.items():
        assert cookie["samesite"] == "Lax", name
        assert bool(cookie["httponly"]) == (name != "csrftoken"), name
