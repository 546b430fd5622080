"""No page weighs more than 100 kB over the wire without its photos and fonts."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

from django.contrib.staticfiles import finders
from django.test import Client

from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.world import World

LIMIT = 100_000
LINKED = re.compile(r'<(?:link[^>]+rel="stylesheet"[^>]+href|script[^>]+src)="/static/([^"?]+)"')


def weight(html: bytes) -> int:
    files = set(LINKED.findall(html.decode()))
    found = [finders.find(name) for name in files]
    assert all(found), f"not there: {files}"
    return len(gzip.compress(html)) + sum(
        len(gzip.compress(Path(str(path)).read_bytes())) for path in found
    )


def test_every_page_is_light(world: World) -> None:
    fill(world)
    known = arguments_for(world)
    client = Client()
    client.force_login(world.engineer)
    heavy, pages = {}, 0
    for route, entry in ROUTES.items():
        if access_of(entry) == "api":
            continue
        response = client.get(address(route, known))
        if response.status_code == 200 and "text/html" in response.headers["Content-Type"]:
            pages += 1
            size = weight(response.content)
            if size > LIMIT:
                heavy[route] = size
    assert pages > 5
    assert heavy == {}
