"""What every page tells a browser (OWASP ASVS 5.0.0, 3.4)."""

from __future__ import annotations

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


def test_cookies_stay_here(db: None) -> None:
    user = make_user("Ada")
    client = Client()
    given = {"username": user.email, "password": "long-enough-1"}
    client.post(reverse("core:login"), given)
    assert {"sessionid", "csrftoken", "device"} <= set(client.cookies)
    for name, cookie in client.cookies.items():
        assert cookie["samesite"] == "Lax", name
        assert bool(cookie["httponly"]) == (name != "csrftoken"), name
