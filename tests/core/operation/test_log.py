"""The log in JSON: a line for each request, and nothing in it that a person wrote."""

from __future__ import annotations

import io
import json
import logging
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from core.operation.log import JsonLines, TextLines
from core.operation.requests import HEADER
from tests.support.loaded import ROOT
from tests.support.pages import as_user
from tests.support.world import World

LOGGERS = ("toneledger.requests", "django.request", "axes")


@pytest.fixture
def lines() -> Iterator[Any]:
    """What was logged so far, each line read as JSON."""
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(JsonLines())
    before = {name: logging.getLogger(name).level for name in LOGGERS}
    for name in LOGGERS:
        logging.getLogger(name).addHandler(handler)
        logging.getLogger(name).setLevel(logging.INFO)
    yield lambda: [json.loads(each) for each in written.getvalue().splitlines()]
    for name, level in before.items():
        logging.getLogger(name).removeHandler(handler)
        logging.getLogger(name).setLevel(level)


def test_a_request_is_one_line_with_its_number(world: World, lines: Any) -> None:
    url = reverse("core:search", args=[world.production.pk])
    answer = as_user(world.tech).get(url, {"q": "Brackmoor"}, headers={HEADER: "from-the-proxy-7"})
    (line,) = lines()
    assert answer.headers[HEADER] == line["request"] == "from-the-proxy-7"
    assert (line["method"], line["status"], line["level"]) == ("GET", 200, "INFO")
    assert line["route"] == "/p/<uuid:production>/search/"
    assert line["queries"] > 0
    assert 0 < line["ms"] < 60_000
    text = json.dumps(line)
    assert "Brackmoor" not in text
    assert str(world.production.pk) not in text


@pytest.mark.parametrize("given", ["", "short", "a b c d e f g h", "x" * 65, "line\tfeed-1234"])
def test_a_number_that_cannot_be_one_is_made_anew(db: None, lines: Any, given: str) -> None:
    answer = Client().get("/login/", headers={HEADER: given})
    assert answer.headers[HEADER] != given
    assert len(answer.headers[HEADER]) == 32


def test_two_requests_have_two_numbers(db: None) -> None:
    client = Client()
    assert client.get("/login/").headers[HEADER] != client.get("/login/").headers[HEADER]


def test_an_address_that_leads_nowhere_is_not_told(db: None, lines: Any) -> None:
    Client().get("/invitations/the-secret-of-a-link/")
    assert len(lines()) == 2
    assert "secret" not in json.dumps(lines())
    assert {each["level"] for each in lines()} == {"WARNING", "INFO"}


def test_an_error_tells_where_and_not_what(
    world: World, lines: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise ValueError("Maud’s password")

    monkeypatch.setattr("core.views.search.search", broken)
    client = as_user(world.tech)
    client.raise_request_exception = False
    answer = client.get(reverse("core:search", args=[world.production.pk]), {"q": "kick"})
    assert answer.status_code == 500
    told = lines()
    assert "Maud" not in json.dumps(told)
    (error,) = [each for each in told if each["level"] == "ERROR"]
    assert error["error"] == "ValueError"
    assert any(each.endswith(" broken") for each in error["at"])
    assert {each["request"] for each in told} == {answer.headers[HEADER]}


def test_a_refused_log_in_is_told_without_who_it_was(
    world: World, lines: Any, settings: Any
) -> None:
    settings.AXES_ENABLED = True
    Client().post("/login/", {"username": world.tech.email, "password": "a secret word"})
    told = json.dumps(lines())
    assert "login failure" in told
    assert world.tech.email not in told
    assert "a secret word" not in told
    assert "127.0.0.1" not in told


def test_text_for_people_tells_no_address_either(db: None) -> None:
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(TextLines("%(levelname)s %(message)s"))
    logging.getLogger("django.request").addHandler(handler)
    try:
        Client().get("/nowhere/the-secret-of-a-link/")
    finally:
        logging.getLogger("django.request").removeHandler(handler)
    assert written.getvalue() == "WARNING GET (no such page) 404\n"


SERVED = """
import logging, uvicorn
uvicorn.Config("core.asgi:application", log_level="warning").load()
logging.getLogger("uvicorn.error").warning("Words of the server.")
"""


def test_what_the_server_says_is_in_the_same_log(tmp_path: Path) -> None:
    environment = {**os.environ, "TONELEDGER_LOG_FORMAT": "json", "TONELEDGER_MODE": "local"}
    done = subprocess.run(
        [sys.executable, "-c", SERVED],
        env={**environment, "TONELEDGER_DATA": str(tmp_path)},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    (line,) = done.stderr.splitlines()
    assert json.loads(line)["message"] == "Words of the server."
