"""What happens once happens once, however many ask at the same moment."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.own_process import run_alone

pytestmark = pytest.mark.django_db(transaction=True)

SPEND = """
from core.models import Membership, Production
from core.services.invitations import accept_invitation, invite
from tests.support.world import make_user
place, tokens = Production.objects.create(name="Tanglewharf"), []
invite(production=place, roles=["crew"], by=make_user("Chief"), address=tokens.append)
racers = [make_user(f"Racer {n}") for n in range(16)]
results = race(lambda user: accept_invitation(token=tokens[0], user=user), *racers)
print(json.dumps([results, Membership.objects.filter(production=place).count()]))
"""
STEP_DOWN = """
from core.models import Membership, Production
from core.services.members import change_roles
from tests.support.world import make_user
place = Production.objects.create(name="Tanglewharf")
managers = [make_user(f"Manager {n}") for n in range(8)]
for user in managers:
    Membership.objects.create(production=place, user=user, role="manager")
results = race(lambda user: change_roles(production=place, user=user, roles=["crew"]), *managers)
print(json.dumps([results, place.memberships.filter(role="manager").count()]))
"""
SAVE = """
from django.http import QueryDict
from core.forms.tour import PlayerForm
from core.models import Player, Production
place = Production.objects.create(name="Tanglewharf")
player = Player.objects.create(production=place, name="Ines", instrument="bass")

def save(name):
    typed = QueryDict(mutable=True)
    typed.update({"name": name, "instrument": "bass", "version": 1})
    assert PlayerForm(typed, instance=Player.objects.get(pk=player.pk)).try_save()

results = race(save, *[f"Name {n}" for n in range(8)])
print(json.dumps([results, Player.objects.get(pk=player.pk).version]))
"""
ASK = """
from datetime import date, timedelta
from django.http import QueryDict
from core.guests.links import share
from rigs.models import PatchChange, PatchQuestion
from rigs.patch.guest_questions import asked
from tests.rigs.shows.shows import make_show
from tests.support.world import make_world
world = make_world()
link = share(
    production=world.production, kind="patch", subject=make_show(world).pk, by=world.engineer,
    for_whom="House", until=date.today() + timedelta(days=5), address=str, may_answer=True,
).link

def ask(way):
    sent = QueryDict(mutable=True)
    sent.update({"words": "Is that one ours?", "guest_name": "Mara", "ways": way})
    assert asked(link, sent).is_done

results = race(ask, *[str(world.input.pk)] * 8)
print(json.dumps([results, PatchQuestion.objects.count(), PatchChange.objects.count()]))
"""


def test_sixteen_spend_one_link_and_one_is_in(tmp_path: Path) -> None:
    assert run_alone(SPEND, tmp_path) == [["LinkClosed"] * 15 + ["won"], 1]


def test_all_managers_step_down_at_once_and_one_stays(tmp_path: Path) -> None:
    assert run_alone(STEP_DOWN, tmp_path) == [["LastManager"] + ["won"] * 7, 1]


def test_eight_save_one_record_and_seven_are_told(tmp_path: Path) -> None:
    assert run_alone(SAVE, tmp_path) == [["AssertionError"] * 7 + ["won"], 2]


def test_a_guests_question_that_is_sent_eight_times_is_on_record_once(tmp_path: Path) -> None:
    """As by a telephone that tries again while its first try is still under way."""
    assert run_alone(ASK, tmp_path) == [["won"] * 8, 1, 1]
