"""The description of the API: public, valid, complete, and true to what is answered."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from rest_framework.mixins import ListModelMixin

from tests.support.addresses import ROUTES


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return dict(Client().get("/api/v1/schema/").json())


def test_it_is_valid_openapi_and_drawn_without_a_warning(tmp_path: Any) -> None:
    call_command(
        "spectacular",
        "--api-version",
        "1",
        "--validate",
        "--fail-on-warn",
        "--file",
        str(tmp_path / "schema.yml"),
    )


def test_anybody_may_read_it(schema: dict[str, Any]) -> None:
    assert schema["openapi"].startswith("3.")
    assert schema["info"]["title"] == "Toneledger"


def test_every_address_of_the_api_is_in_it(schema: dict[str, Any]) -> None:
    routes = [
        "/" + re.sub(r"<\w+:(\w+)>", r"{\1}", route)
        for route in ROUTES
        if route.startswith("api/v1/") and "schema" not in route
    ]
    assert routes
    assert sorted(schema["paths"]) == sorted(routes)


def test_every_operation_says_what_it_is_for(schema: dict[str, Any]) -> None:
    for path, operations in schema["paths"].items():
        for method, operation in operations.items():
            assert operation.get("summary"), f"{method} {path}"


def test_a_change_has_its_answers(schema: dict[str, Any]) -> None:
    post = schema["paths"]["/api/v1/rigs/{rig}/changes/"]["post"]
    assert sorted(post["responses"]) == ["200", "201", "400", "409", "422"]


def test_what_comes_in_pages_is_described_as_a_page(schema: dict[str, Any]) -> None:
    paged = {
        "/" + re.sub(r"<\w+:(\w+)>", r"{\1}", route)
        for route, entry in ROUTES.items()
        if issubclass(getattr(entry.callback, "cls", object), ListModelMixin)
    }
    assert len(paged) > 15
    for path in paged:
        answer = schema["paths"][path]["get"]["responses"]["200"]
        shape = answer["content"]["application/json"]["schema"]
        assert shape["$ref"].startswith("#/components/schemas/Paginated"), path
