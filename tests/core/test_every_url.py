"""Every address × every role × an outsider × nobody, from the URL configuration itself.

A new page is walked without being listed here; one with an argument that this test does not know
fails until it is given one.
Walked again with what belongs to another production: nothing of it may answer or be named.
"""

from __future__ import annotations

import re
from typing import Any
from uuid import uuid4

import pytest
from django.conf import settings
from django.test import Client

from core.access.middleware import TRUSTED_MODULES, declares_access
from core.access.policy import allowed
from core.models import LogIn
from core.models.roles import Role
from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.pages import as_user
from tests.support.world import World, make_world

SESSION = settings.SESSION_COOKIE_NAME


@pytest.fixture
def full(world: World) -> World:
    fill(world)
    return world


@pytest.mark.parametrize("route", ROUTES)
def test_every_view_says_who_may_call_it(route: str) -> None:
    assert declares_access(ROUTES[route].callback), f"{route} declares nothing"
    assert not ROUTES[route].callback.__module__.startswith(TRUSTED_MODULES)


@pytest.mark.any_database
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("who", [*Role.values, "outsider", "nobody"])
def test_every_address_answers_each_role_by_the_policy(full: World, who: str, method: str) -> None:
    known = arguments_for(full)
    wrong = []
    person = None if who == "nobody" else full.people.get(who, full.outsider)
    log_in = Client()
    for route, entry in ROUTES.items():
        client = Client(raise_request_exception=False)
        if person:
            # One log-in serves until an address ends it.
            if not LogIn.objects.filter(user=person).exists():
                log_in.force_login(person)
            client.cookies.load({SESSION: log_in.cookies[SESSION].value})
        kind = {"content_type": "application/json"} if access_of(entry) == "api" else {}
        response = getattr(client, method)(address(route, known), **kind)
        expected = may(access_of(entry), who, method, route)
        if response.status_code not in expected:
            wrong.append(f"{method} {route}: {response.status_code}, not one of {sorted(expected)}")
    assert not wrong, "\n".join(wrong)


# What looks like nothing to some who may do it elsewhere: a link that somebody else gave out.
NOT_THERE_FOR_ALL = {"p/<uuid:production>/shared/<uuid:guest_link_id>/close/"}
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
    if not allowed([who], action):
        return {403, 405}
    return ANSWERED | {404} if route in NOT_THERE_FOR_ALL else ANSWERED


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


@pytest.mark.parametrize("method", ["get", "post"])
def test_what_belongs_to_another_production_answers_like_what_is_nowhere(
    full: World, method: str
) -> None:
    """Whoever may do everything in a production names in its addresses what is not of it."""
    theirs = arguments_for(full)
    own = make_world("Elsewhere")
    own.production.memberships.all().delete()
    for role in Role.values:
        own.production.memberships.create(user=own.engineer, role=role)
    theirs["production"] = str(own.production.pk)
    ids = {name for name, value in theirs.items() if len(value) == 36 and name != "production"}
    nowhere = theirs | {name: str(uuid4()) for name in ids}
    client = Client(raise_request_exception=False)
    client.force_login(own.engineer)
    asked, wrong = 0, []
    for route, entry in ROUTES.items():
        named = set(re.findall(r"<(?:\w+:)?(\w+)>", route))
        if "production" not in named or not named & ids:
            continue
        kind = {"content_type": "application/json"} if access_of(entry) == "api" else {}
        found, missing = (
            getattr(client, method)(address(route, known), **kind).status_code
            for known in (theirs, nowhere)
        )
        asked += found == 404
        if found != missing or found == 200:
            wrong.append(f"{method} {route}: {found}, and {missing} for what is nowhere")
    assert not wrong, "\n".join(wrong)
    assert asked > 50


def test_no_list_of_a_production_names_what_belongs_to_another(full: World) -> None:
    known = arguments_for(full)
    theirs = {value for value in known.values() if len(value) == 36}
    own = make_world("Elsewhere")
    client = as_user(own.engineer)
    asked = 0
    for route in ROUTES:
        if set(re.findall(r"<(?:\w+:)?(\w+)>", route)) != {"production"}:
            continue
        response = client.get(address(route, {"production": str(own.production.pk)}))
        body = response.getvalue().decode(errors="replace")
        assert not [each for each in theirs if each in body], route
        asked += response.status_code == 200
    assert asked > 30
