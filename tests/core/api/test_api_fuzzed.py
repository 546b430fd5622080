"""What the API answers is what its description says, for requests that nobody thought of.

Requests are made from the description by a library for it (schemathesis), half of them fit, half
broken somewhere. For a bounded time, so that it may stand among the other tests.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, given
from hypothesis import settings as examples
from schemathesis import GenerationMode
from schemathesis.core.failures import FailureGroup
from schemathesis.specs.openapi import checks

from tests.support.api import key_of
from tests.support.everything import arguments_for, fill
from tests.support.world import World

WITHIN_S = 25
EACH = 3
CHECKED = [
    schemathesis.checks.not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_schema_conformance,
]
# What any operation may answer (docs/api.md, “Errors”), and the description does not repeat.
ANYWHERE = {"400", "401", "403", "404", "405", "409", "413", "415", "422", "429"}


@pytest.fixture
def kept_connection() -> Iterator[None]:
    """Whole requests would end the connection, and with it the transaction of the test: Django's
    own client turns this off for its requests, too."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield
    for signal in signals:
        signal.connect(close_old_connections)


@pytest.mark.usefixtures("kept_connection")
def test_answers_are_as_described(world: World, settings: Any) -> None:
    fill(world)
    settings.ALLOWED_HOSTS = ["*"]
    known = arguments_for(world)
    token = key_of(world.engineer)
    schema = schemathesis.openapi.from_wsgi("/api/v1/schema/?format=json", get_wsgi_application())
    wrong: dict[str, str] = {}
    asked, end = 0, time.monotonic() + WITHIN_S
    operations = [found.ok() for found in schema.get_all_operations()]
    # On a busy machine the time is not enough for all: each day begins elsewhere.
    first = date.today().toordinal() * 31 % len(operations)
    for operation in operations[first:] + operations[:first]:
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
            if time.monotonic() < end:
                asked += _ask(operation, mode, known, token, wrong)
    assert not wrong, "\n\n".join(f"{name}\n{said}" for name, said in wrong.items())
    assert asked > 10


def _ask(
    operation: Any, mode: Any, known: dict[str, str], token: str, wrong: dict[str, str]
) -> int:
    count = 0

    @examples(
        max_examples=EACH,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def run(case: Any) -> None:
        nonlocal count
        count += 1
        for name in case.path_parameters or {}:
            case.path_parameters[name] = known.get(name, case.path_parameters[name])
        answer = case.call(
            headers={"Authorization": f"Token {token}", "Accept-Encoding": "identity"}
        )
        kinds = CHECKED if str(answer.status_code) not in ANYWHERE else CHECKED[:1]
        try:
            case.validate_response(answer, checks=kinds)
        except FailureGroup as group:
            for each in group.exceptions:
                wrong.setdefault(
                    f"{operation.label}: {each.title}",
                    f"{str(each)[:700]}\n{json.dumps(case.body, default=str)[:300]}",
                )

    try:
        run()
    except Exception as error:
        if "Unsatisfiable" not in type(error).__name__:
            wrong.setdefault(f"{operation.label} {mode}", repr(error)[:400])
    return count
