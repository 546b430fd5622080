"""The page and the addresses of the API on which a log is compared."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.urls import reverse

from core.append_only import set_aside
from core.models import Checkpoint, LogBegun, LogEntry
from core.proof import key
from core.proof.checkpoints import Stated, stated, take
from core.proof.merkle import grew, includes
from core.proof.verify import broken_log
from tests.support.everything import fill
from tests.support.world import World

pytestmark = pytest.mark.django_db


@pytest.fixture
def client_of(world: World, client: Client) -> Client:
    client.force_login(world.people["manager"])
    return client


def page(client: Client, world: World, **query: str) -> str:
    return client.get(reverse("core:log", args=[world.production.pk]), query).content.decode()


def test_it_says_so_before_there_is_a_checkpoint(client_of: Client, world: World) -> None:
    assert "There is none yet." in page(client_of, world)


def test_a_code_from_paper_is_compared(client_of: Client, world: World, signed: key.Key) -> None:
    made = take(world.production.pk, Checkpoint.Why.ASKED)
    assert made is not None
    code = stated(made).code
    world.turn("9:00")
    shown = page(client_of, world)
    assert code in shown
    assert key.name_of_key(signed.public) in shown
    assert "are what they were" in page(client_of, world, code=code.lower())
    other = code[:-1] + ("0" if code[-1] != "0" else "1")
    assert "The log does not begin with" in page(client_of, world, code=other)
    assert "is no code of a checkpoint" in page(client_of, world, code="hello")


def test_a_checkpoint_and_the_program_are_taken_along(
    client_of: Client, world: World, signed: key.Key
) -> None:
    take(world.production.pk, Checkpoint.Why.ASKED)
    own = [world.production.pk]
    said = json.loads(client_of.get(reverse("core:log_checkpoint", args=own)).content)
    assert Stated(**{name: said[name] for name in Stated._fields}).is_signed()
    answer: Any = client_of.get(reverse("core:log_script", args=own))
    script = b"".join(answer.streaming_content)
    assert script.startswith(b'"""Verify an exported archive')


def test_proofs_over_the_api_hold(client_of: Client, world: World, signed: key.Key) -> None:
    first = take(world.production.pk, Checkpoint.Why.ASKED)
    assert first is not None
    revision = world.turn("9:00")
    assert revision is not None
    take(world.production.pk, Checkpoint.Why.ASKED)
    own = [world.production.pk]
    newest = client_of.get(reverse("api-checkpoint", args=own)).json()
    asked = {"first": first.size}
    said: Any = client_of.get(reverse("api-checkpoint-grew", args=own), asked).json()
    assert said["checkpoint"] == newest
    steps = [bytes.fromhex(step) for step in said["proof"]]
    root = bytes.fromhex(newest["root"])
    assert grew(first.size, bytes.fromhex(first.root), newest["size"], root, steps)
    record = {"table": "rigs.revision", "key": f"{world.rig.pk}/{revision.number}"}
    said = client_of.get(reverse("api-checkpoint-entry", args=own), record).json()
    path = [bytes.fromhex(step) for step in said["proof"]]
    assert includes(bytes.fromhex(said["leaf"]), said["index"], newest["size"], path, root)
    too_many = client_of.get(
        reverse("api-checkpoint-grew", args=own), {"first": newest["size"] + 1}
    )
    assert too_many.status_code == 400


def test_what_is_older_than_the_log_is_put_in(world: World) -> None:
    """Once: what is written meanwhile, and what a second run finds, is in already."""
    fill(world)
    with set_aside(connection):
        LogEntry.objects.all()._raw_delete("default")
    LogBegun.objects.create(production=world.production)
    (words,) = broken_log(world.production)
    assert "are not in it yet" in words
    world.turn("9:00")
    call_command("checkpoint")
    assert list(broken_log(world.production)) == []
    count = LogEntry.objects.count()
    call_command("checkpoint")
    assert LogEntry.objects.count() == count
