"""What is held of somebody: all of it, and of nobody else; and how long log-ins are kept."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

from axes.models import AccessAttempt, AccessLog
from django.core.management import call_command
from django.utils import timezone

from core.models import User
from notes.forgetting.held import held_of
from rigs.changes.reasons import Reason, ReasonKind
from tests.notes.forgetting.support import somebody
from tests.support.listening import hear
from tests.support.pages import as_user
from tests.support.world import World

NAME = "Quorvexa Thistlemund"


def attempt(email: str, days: int) -> None:
    where = {"username": email, "ip_address": "192.0.2.7", "user_agent": "b"}
    AccessAttempt.objects.create(**where, failures_since_start=1)
    log = AccessLog.objects.create(**where)
    at = timezone.now() - timedelta(days=days)
    AccessAttempt.objects.filter(username=email).update(attempt_time=at)
    AccessLog.objects.filter(pk=log.pk).update(attempt_time=at)


def test_everything_is_in_it_and_nothing_of_others(world: World) -> None:
    person = somebody(world, NAME)
    world.swap(world.other_mic, Reason(ReasonKind.HIRE, "Mine, for tonight."), author=person)
    hear(world, "Mine as well.", by=person, said_by_player=None)
    hear(world, "Of somebody else.", said_by_player=None)
    attempt(person.email, 1)
    told = json.dumps(held_of(person), ensure_ascii=False)
    for mine in (NAME, person.email, "Mine, for tonight.", "Mine as well.", "192.0.2.7"):
        assert mine in told
    assert "Of somebody else." not in told
    assert world.engineer.email not in told
    assert person.password not in told


def test_the_page_the_file_and_the_api_give_it(world: World) -> None:
    client = as_user(world.engineer)
    hear(world, "In my own words.", said_by_player=None)
    page = client.get("/account/held/").content.decode()
    assert "Listening notes: 1" in page or "Notes: 1" in page
    assert "30 days" in page
    file = client.get("/account/held.json")
    assert "attachment" in file.headers["Content-Disposition"]
    assert file.json() == client.get("/api/v1/me/held/").json()
    assert "In my own words." in file.content.decode()


def test_whoever_asks_to_be_forgotten_is_shown_to_the_manager(world: World) -> None:
    tech = as_user(world.tech)
    assert tech.post("/account/held/ask/").status_code == 302
    address = f"/p/{world.production.pk}/people/{world.tech.pk}/edit/"
    manager = as_user(world.people["manager"])
    assert "asked to be forgotten" in manager.get(address).content.decode()
    tech.post("/account/held/ask/", {"take-back": "1"})
    assert User.objects.get(pk=world.tech.pk).asked_to_go_at is None


def test_what_is_kept_of_log_ins_expires(db: Any) -> None:
    attempt("old@example.org", 31)
    attempt("new@example.org", 29)
    call_command("forget_log_ins", verbosity=0)
    for model in (AccessAttempt, AccessLog):
        assert set(model.objects.values_list("username", flat=True)) == {"new@example.org"}
