"""The demonstration is real history: it verifies, shows every state, and loads once."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from pytest_django import DjangoDbBlocker

from core.models import Production, Removal, User
from notes.demo import cast
from notes.forgetting.tables import who_left
from notes.models import Handover, Note, PublishedHandover, Question, SignOff, Trial
from rigs.models import Device, Input, Revision, Rig
from rigs.revisions.read import as_of
from tests.notes.forgetting.support import places_of
from tests.support.pages import as_user


def load() -> str:
    out = io.StringIO()
    call_command("demo", stdout=out)
    return out.getvalue()


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[str]:
    """Once for all: each test is a transaction within this one."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load()
        transaction.set_rollback(True)


@pytest.fixture
def demo(loaded: str, db: None) -> str:
    return loaded


def test_it_prints_a_log_in_for_each_role(demo: str) -> None:
    for person in cast.PEOPLE:
        assert person.email in demo
        user = User.objects.get(email=person.email)
        assert user.check_password(cast.PASSWORD)


def test_loading_it_again_changes_nothing(demo: str) -> None:
    before = Revision.objects.count(), Note.objects.count(), SignOff.objects.count()
    assert "there already" in load()
    assert (Revision.objects.count(), Note.objects.count(), SignOff.objects.count()) == before
    assert Production.objects.count() == 1


def test_its_history_verifies(demo: str) -> None:
    out = io.StringIO()
    call_command("verify", stdout=out)
    assert "Everything is as it was written." in out.getvalue()


def test_it_shows_every_state(demo: str) -> None:
    assert Rig.objects.count() == 11
    assert {"signed", "withheld"} == set(SignOff.objects.values_list("decision", flat=True))
    bass = Rig.objects.get(name="Bass main")
    last = SignOff.objects.filter(rig=bass).latest("at")
    assert last.revision.number < bass.head_number
    assert Trial.objects.filter(decided_at=None).count() == 1
    assert set(Note.objects.values_list("verdict", flat=True)) == {"keep", "adjust", "reject"}
    assert Revision.objects.filter(reason_kind="failure").exists()
    assert Handover.objects.count() == 2
    assert Question.objects.filter(answers=None).count() == 2
    assert [each.number for each in PublishedHandover.objects.all()] == [2, 1]


def test_its_changes_lie_in_the_past_in_order(demo: str) -> None:
    for rig in Rig.objects.all():
        moments: list[Any] = list(rig.revisions.order_by("number").values_list("at", flat=True))
        assert moments == sorted(moments)
        assert moments[0].year == 2026


def test_every_page_of_it_answers_the_engineer(demo: str, client: Client) -> None:
    """Also what only a rich history shows: figures with their source, trials, both legs."""
    client.force_login(User.objects.get(email=cast.ENGINEER))
    place = Production.objects.get().get_absolute_url()
    seen, todo = set(), [place]
    while todo:
        url = todo.pop()
        response = client.get(url)
        assert response.status_code in (200, 302), url
        if "html" in response.headers.get("Content-Type", ""):
            found = re.findall(r'href="(/p/[^"#?]+)', response.content.decode())
            todo += sorted({u for u in found if kind_of(u) not in seen})
            seen |= {kind_of(u) for u in found}
    assert len(seen) > 40


def kind_of(url: str) -> str:
    """The address with two ids of each kind told apart by their last sign, to see a few of each."""
    return re.sub(r"[0-9a-f-]{35}([0-9a-f])", lambda m: m[1] if m[1] == "0" else "x", url)


def test_phantom_power_is_on_where_it_is_needed_and_nowhere_else_at_every_change(
    demo: str,
) -> None:
    needed = {str(device.pk): device.phantom for device in Device.objects.all()}
    seen = 0
    for revision in Revision.objects.select_related("rig"):
        for fields in as_of(revision.rig, revision.number).values():
            if fields["kind"] == "input" and fields.get("device"):
                wants = needed[str(fields["device"])]
                assert (fields.get("phantom") is True) == wants, (revision, fields["name"])
                seen += 1
    assert seen > 100


def test_input_12_says_what_was_decided_at_each_swap_and_is_published_so(demo: str) -> None:
    edge = Input.objects.select_related("device", "rig").get(name="Stage-right guitar edge")
    assert (edge.number, str(edge.device), edge.phantom) == (12, "Brackmoor Carnothe", False)
    swaps = [
        {row.field: row.new for row in revision.changes.filter(part=edge.pk)}
        for revision in Revision.objects.filter(rig=edge.rig).order_by("number")
        if revision.changes.filter(part=edge.pk, field="device").exists()
    ]
    # 2.2 to 6 mV/Pa is 8.7 dB (tables of decibels, from memory): 38 becomes 29.3, downwards 29.
    assert [(swap["phantom"], swap["gain_db"]) for swap in swaps] == [(True, "29"), (None, "37")]
    for handover in PublishedHandover.objects.all():
        found = list(published_inputs(json.loads(handover.content)))
        assert "Stage-right guitar edge" in {each["name"] for each in found}
        assert [e["name"] for e in found if e["phantom"] != e["device"]["needs_phantom"]] == []


def published_inputs(content: Any) -> Iterator[dict[str, Any]]:
    """Every input with a device, wherever it stands in a published handover."""
    if isinstance(content, dict):
        if "phantom" in content and content.get("device"):
            yield content
        for value in content.values():
            yield from published_inputs(value)
    elif isinstance(content, list):
        for value in content:
            yield from published_inputs(value)


def test_somebody_who_was_there_for_a_night_is_forgotten(demo: str) -> None:
    """What he changed holds and says so, in the history and below the handover of that leg."""
    removal = Removal.objects.get()
    manager = User.objects.get(email=cast.MANAGER)
    said = f"removed on request, 30 Sep 2026, by {manager.name}"
    assert (removal.by, removal.person is not None) == (manager, True)
    assert not places_of(cast.FOR_A_NIGHT.name, cast.FOR_A_NIGHT.email)
    change = Revision.objects.get(author=removal.person)
    assert change.reason_words.startswith("Right overhead dead after a fall")
    client = as_user(manager)
    place = Production.objects.get().get_absolute_url()
    history = client.get(f"{place}rigs/{change.rig_id}/history/").content.decode()
    assert said in history
    published = PublishedHandover.objects.get(number=1)
    told = client.get(f"{place}handovers/published/{published.pk}/").content.decode()
    assert said in told
    assert removal.person_id is not None
    assert who_left(removal.production) == []
