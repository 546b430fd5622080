"""Every address × every role × an outsider × nobody, from the URL configuration itself.

A new page is walked without being listed here; one with an argument that this test does not know
fails until it is given one.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from core.access.middleware import TRUSTED_MODULES, declares_access
from core.access.policy import Role, allowed
from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.world import World


@pytest.fixture
def full(world: World) -> World:
    fill(world)
    return world


@pytest.mark.parametrize("route", ROUTES)
def test_every_view_says_who_may_call_it(route: str) -> None:
    assert declares_access(ROUTES[route].callback), f"{route} declares nothing"
    assert not ROUTES[route].callback.__module__.startswith(TRUSTED_MODULES)


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("who", [*Role.values, "outsider", "nobody"])
def test_every_address_answers_each_role_by_the_policy(full: World, who: str, method: str) -> None:
    known = arguments_for(full)
    wrong = []
    for route, entry in ROUTES.items():
        client = Client(raise_request_exception=False)
        if who != "nobody":
            client.force_login(full.people.get(who, full.outsider))
        kind = {"content_type": "application/json"} if access_of(entry) == "api" else {}
        response = getattr(client, method)(address(route, known), **kind)
        expected = may(access_of(entry), who, method, route)
        if response.status_code not in expected:
            wrong.append(f"{method} {route}: {response.status_code}, not one of {sorted(expected)}")
    assert not wrong, "\n".join(wrong)


# A page, a redirect after a write, an invalid or refused write, or "not by this method".
ANSWERED = {200, 201, 204, 302, 400, 405, 409, 415, 422}


def may(access: Any, who: str, method: str, route: str) -> set[int]:
    if access == "public":
        return ANSWERED | {404}  # a one-time link that is closed looks like nothing
    if access == "api":
        return api_may(who, method, route)
    if who == "nobody":
        return {302, 405}
    if access == "signed in":
        return ANSWERED
    if who == "outsider":
        return {404, 405}
    action = access[0] if method == "get" else access[1]
    return ANSWERED if allowed([who], action) else {403, 405}


def api_may(who: str, method: str, route: str) -> set[int]:
    if who == "nobody":
        return {401, 403, 405}
    if who == "outsider":
        return {404, 405} if "<" in route or "(?P" in route else ANSWERED | {403, 404}
    return ANSWERED | {403} if method == "post" else ANSWERED


def test_a_redirect_for_nobody_leads_to_the_log_in(full: World) -> None:
    known = arguments_for(full)
    for route, entry in ROUTES.items():
        if access_of(entry) not in ("public", "api"):
            response = Client().get(address(route, known))
            if response.status_code == 302:
                assert response.headers["Location"].startswith("/login/?next=/"), route
