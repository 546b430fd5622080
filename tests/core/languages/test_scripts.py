"""What scripts say: the catalogue they find their words by, its address, and who names it."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from django.utils import translation

from core.languages import scripts
from core.languages.scripts import address, catalogue

pytestmark = pytest.mark.django_db
GERMAN = {"Look": "Nachsehen"}


@pytest.fixture(autouse=True)
def _german_alone(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """One word in German, and none in other languages, whatever is translated by now."""
    monkeypatch.setattr(
        scripts._Made, "get_catalog", lambda _: GERMAN if translation.get_language() == "de" else {}
    )
    catalogue.cache_clear()
    yield
    catalogue.cache_clear()


def in_german() -> str:
    with translation.override("de"):
        return address()


def test_the_address_names_language_and_content(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = in_german()
    assert re.fullmatch(r"/static/words/de\.[0-9a-f]{12}\.js", url)
    answer = client.get(url)
    assert b"Nachsehen" in answer.content
    assert answer.headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert "immutable" in answer.headers["Cache-Control"]
    monkeypatch.setitem(GERMAN, "Look", "Ansehen")
    catalogue.cache_clear()
    assert in_german() != url
    # A page of the release before has these words, and asks again.
    of_before = client.get(url)
    assert "Ansehen" in of_before.content.decode()
    assert of_before.headers["Cache-Control"] == "no-cache"


def test_without_translations_english_is_said_and_nothing_is_loaded(client: Client) -> None:
    assert address() == ""
    assert b"/static/words/" not in client.get("/login/").content
    assert client.get("/static/words/xx.000000000000.js").status_code == 404


def test_a_page_loads_it_before_its_modules(client: Client) -> None:
    page = client.get("/login/", headers={"accept-language": "de"}).content.decode()
    own = f'<script defer fetchpriority="low" src="{in_german()}"></script>'
    assert page.count(own) == 1
    assert page.index(own) < page.index('<script type="module"')


def test_the_worker_reads_it_first(client: Client) -> None:
    english = client.get("/sw.js")
    german = client.get("/sw.js", headers={"accept-language": "de"})
    assert {"Accept-Language", "Cookie"} <= set(german.headers["Vary"].split(", "))
    assert '"LANGUAGE": "en-GB"' in english.content.decode()
    first, *parts = re.findall(r'"(/static/[^"]*\.js)"', german.content.decode())
    assert first == in_german()
    assert parts == re.findall(r'"(/static/[^"]*\.js)"', english.content.decode())


def test_the_manifest_names_its_language(client: Client) -> None:
    assert client.get("/manifest.webmanifest").json()["lang"] == "en-GB"
    answer = client.get("/manifest.webmanifest", headers={"accept-language": "de"})
    assert answer.json()["lang"] == "de"
    assert {"Accept-Language", "Cookie"} <= set(answer.headers["Vary"].split(", "))
