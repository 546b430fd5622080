"""Nothing that an address says, and no method it is asked by, is an error of the service."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest
from django.contrib import admin
from django.contrib.auth import get_user_model
from django.http import QueryDict
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


class Reads:
    """Notes which names of the address a view asks for, itself or through a form."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.names: set[str] = set()
        for method in ("__getitem__", "get", "getlist"):
            monkeypatch.setattr(QueryDict, method, self._noting(getattr(QueryDict, method)))

    def _noting(self, method: Any) -> Any:
        def noting(query: QueryDict, key: str, *more: Any, **named: Any) -> Any:
            self.names.add(key)
            return method(query, key, *more, **named)

        return noting

    def of(self, client: Client, url: str, query: dict[str, str]) -> tuple[set[str], int]:
        """The names it asked for, and the status of its answer."""
        self.names.clear()
        status = client.get(url, query).status_code
        return self.names & set(query), status


class Kinds:
    """Deals the kinds of hostile values out, for each name in turn."""

    def __init__(self) -> None:
        self._next: dict[str, Iterator[str]] = {}
        self.dealt: defaultdict[str, set[str]] = defaultdict(set)

    def deal(self, names: Iterable[str]) -> dict[str, str]:
        query = {}
        for place, name in enumerate(sorted(names)):
            # Each name begins at another kind, so that one request mixes them.
            begin = place % len(HOSTILE)
            kinds = self._next.setdefault(name, cycle(HOSTILE[begin:] + HOSTILE[:begin]))
            query[name] = next(kinds)
            self.dealt[name].add(query[name])
        return query

    def deal_rest(self, names: set[str]) -> list[dict[str, str]]:
        """Until each has met every kind; at least once, for what this page makes of them."""
        queries = [self.deal(names)] if names else []
        while len(queries) < len(HOSTILE) and any(len(self.dealt[n]) < len(HOSTILE) for n in names):
            queries.append(self.deal(names))
        return queries


def test_no_query_string_breaks_a_page(full: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a page does not read cannot break it: it is asked twice, with all names. What it does
    read is given more kinds, until each name has met every kind on one page or another."""
    client = Client(raise_request_exception=False)
    client.force_login(full.people["engineer"])
    known, reads, names = arguments_for(full), Reads(monkeypatch), names_read()
    broken, read, all_names, own = [], set[str](), Kinds(), Kinds()
    for route in ROUTES:
        found = set[str]()
        # With empty values, too: one that is refused may keep a view from reading the next.
        queries = [dict.fromkeys(names, ""), all_names.deal(names)]
        for place, query in enumerate(queries):
            asked, status = reads.of(client, address(route, known), query)
            found |= asked
            if status >= 500:
                broken.append(f"{route} {query}: {status}")
            if place == 1:
                queries += own.deal_rest(found)
        read |= found
    assert not broken, "\n".join(broken)
    assert {"since", "at"} <= read
    assert {name: own.dealt[name] for name in read} == dict.fromkeys(read, set(HOSTILE))


def test_no_method_breaks_an_address(full: World) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(full.people["engineer"])
    known = arguments_for(full)
    broken = [
        f"{method} {route}: {response.status_code}"
        for method in METHODS
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


def test_no_method_breaks_the_administration(full: World) -> None:
    """Each page is asked by one of them, in turn: one class makes them for all models, so that
    every kind of page meets every method. That they can be read, test_admin.py looks at."""
    user = get_user_model().objects.create_superuser(
        email="root@toneledger.example", name="Root", password="a long password"
    )
    client = Client(raise_request_exception=False)
    client.force_login(user)
    broken = [
        f"{method} {url}: {response.status_code}"
        for url, method in zip(admin_addresses(), cycle(("POST", *METHODS)), strict=False)
        if (response := client.generic(method, url)).status_code >= 500
    ]
    assert not broken, "\n".join(broken)
