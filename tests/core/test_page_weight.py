"""No page weighs more than 100 kB over the wire without its photos and fonts, in Japanese, whose
words are the heaviest, and with the catalogue of what scripts say."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client

from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.world import World

LIMIT = 100_000
LINKED = re.compile(r'<(?:link[^>]+rel="stylesheet"[^>]+href|script[^>]+src)="/static/([^"?]+)"')


def made(client: Client, url: str) -> bytes:
    response = client.get(url)
    assert response.status_code == 200, url
    return response.content


def weight(html: bytes, client: Client) -> int:
    files = set(LINKED.findall(html.decode()))
    parts = [html]
    for name in files:
        # The catalogue of scripts is made by a view, below the addresses of static files.
        path = None if name.startswith("words/") else finders.find(name)
        parts.append(Path(path).read_bytes() if path else made(client, f"/static/{name}"))
    return sum(len(gzip.compress(part)) for part in parts)


def test_every_page_is_light(world: World) -> None:
    fill(world)
    known = arguments_for(world)
    client = Client()
    client.force_login(world.engineer)
    client.cookies[settings.LANGUAGE_COOKIE_NAME] = "ja"
    heavy, pages = {}, 0
    for route, entry in ROUTES.items():
        if access_of(entry) == "api":
            continue
        response = client.get(address(route, known))
        if response.status_code == 200 and "text/html" in response.headers["Content-Type"]:
            pages += 1
            size = weight(response.content, client)
            if size > LIMIT:
                heavy[route] = size
    assert pages > 5
    assert heavy == {}
