"""Errors are JSON, whatever goes wrong, and say what to do."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import pytest
from django.test import Client

from core.api.errors import fields_of
from tests.support.api import api
from tests.support.world import World


def test_an_address_that_is_not_there(client: Client, db: None) -> None:
    response = client.get("/api/v1/nothing/")
    assert response.status_code == 404
    assert response.headers["Content-Type"] == "application/json"
    assert response.json()["code"] == "not_found"


def test_a_fault_of_ours(world: World) -> None:
    client = api(world.tech)
    client.raise_request_exception = False
    with patch("core.api.views.mine", side_effect=RuntimeError("secret")):
        response = client.get("/api/v1/productions/")
    assert response.status_code == 500
    assert response.json() == {
        "code": "error",
        "detail": "Something broke on our side. It is logged; nothing was written.",
    }


def test_a_page_still_gets_a_page(client: Client, db: None) -> None:
    response = client.get("/nothing/")
    assert response.status_code == 404
    assert response.headers["Content-Type"].startswith("text/html")


@pytest.mark.parametrize(
    "body", [b"{", b"\xff", b"[NaN]", b'{"base": Infinity}', b"[" * 100_000, b"1" * 5000]
)
def test_what_is_not_json(world: World, body: bytes) -> None:
    response = send(world, body)
    assert response.status_code == 400
    assert response.json()["code"] == "parse_error"


def test_json_that_is_no_object(world: World) -> None:
    response = send(world, b"[1]")
    assert response.status_code == 400
    assert response.json()["code"] == "invalid"


def test_a_request_that_is_too_long(world: World, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    response = send(world, b'"' + b"x" * 200 + b'"')
    assert response.status_code == 413
    assert response.json() == {
        "code": "too_large",
        "detail": "The request is longer than 100 bytes.",
    }


def test_a_form_is_not_json(world: World) -> None:
    response = send(world, b"base=1", "application/x-www-form-urlencoded")
    assert response.status_code == 415
    assert response.json()["code"] == "unsupported_media_type"


def send(world: World, body: bytes, kind: str = "application/json") -> Any:
    url = f"/api/v1/rigs/{world.rig.pk}/changes/"
    return api(world.tech).generic("POST", url, body, content_type=kind)


def test_messages_without_a_field_are_about_the_whole() -> None:
    from django.core.exceptions import ValidationError

    assert fields_of(ValidationError("No.")) == {"all": ["No."]}
    assert fields_of(ValidationError({"__all__": ["No."], "pan": ["Off."]})) == {
        "all": ["No."],
        "pan": ["Off."],
    }
