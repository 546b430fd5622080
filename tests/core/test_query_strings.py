"""Nothing that an address says, and no method it is asked by, is an error of the service."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.contrib import admin
from django.contrib.auth import get_user_model
from django.test import Client
from django.urls import NoReverseMatch, get_resolver, reverse

import core
from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.world import World

ROOT = Path(core.__file__).parents[1]
READ = re.compile(r"GET\.(?:get|getlist)\(\s*[\"']([a-z_]+)[\"']")
# Python itself refuses to read a number of more than 4,300 digits.
HOSTILE = ("", "-1", "9" * 400, "9" * 5000, "²", "1e9", "\x00", "\ufffe\uffff", "%s%n", "NaN")
METHODS = ("PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND")


def names_read() -> list[str]:
    """Every name that a view reads from its address, from the source itself."""
    texts = (p.read_text() for app in ("core", "rigs", "notes") for p in (ROOT / app).rglob("*.py"))
    return sorted({name for text in texts for name in READ.findall(text)} | {"q", "cursor", "page"})


@pytest.fixture
def full(world: World) -> World:
    fill(world)
    return world


def test_names_are_found_in_the_source() -> None:
    assert {"since", "at", "show"} & set(names_read())


@pytest.mark.parametrize("value", HOSTILE, ids=range(len(HOSTILE)))
def test_no_query_string_breaks_a_page(full: World, value: str) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(full.people["engineer"])
    known, query = arguments_for(full), dict.fromkeys(names_read(), value)
    broken = [
        f"{route}: {response.status_code}"
        for route in ROUTES
        if (response := client.get(address(route, known), query)).status_code >= 500
    ]
    assert not broken, "\n".join(broken)


@pytest.mark.parametrize("method", METHODS)
def test_no_method_breaks_an_address(full: World, method: str) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(full.people["engineer"])
    known = arguments_for(full)
    broken = [
        f"{method} {route}: {response.status_code}"
        for route, entry in ROUTES.items()
        if access_of(entry) != "public"
        and (response := client.generic(method, address(route, known))).status_code >= 500
    ]
    assert not broken, "\n".join(broken)


def admin_addresses() -> list[str]:
    """Every page of the administration: lists, forms, and those of one record of each kind."""
    found = []
    for name in get_resolver().namespace_dict["admin"][1].reverse_dict:
        if isinstance(name, str):
            for arguments in ([], *([pk] for pk in records_of(name))):
                try:
                    found.append(reverse(f"admin:{name}", args=arguments))
                except NoReverseMatch:
                    continue
    return found


def records_of(name: str) -> list[str]:
    """The id of one record of the model that an address of the administration is about."""
    for model in admin.site._registry:
        if name.startswith(f"{model._meta.app_label}_{model._meta.model_name}_"):
            first = model._default_manager.first()
            return [str(first.pk)] if first else []
    return []


@pytest.mark.parametrize("method", ["GET", "POST", *METHODS])
def test_no_method_breaks_the_administration(full: World, method: str) -> None:
    user = get_user_model().objects.create_superuser(
        email="root@toneledger.example", name="Root", password="a long password"
    )
    client = Client(raise_request_exception=False)
    client.force_login(user)
    broken = [
        f"{method} {url}: {response.status_code}"
        for url in admin_addresses()
        if (response := client.generic(method, url)).status_code >= 500
    ]
    assert not broken, "\n".join(broken)
