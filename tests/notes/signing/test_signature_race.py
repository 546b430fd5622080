"""However many answers arrive by one link at the same moment, one signature is made."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.own_process import run_alone

pytestmark = pytest.mark.django_db(transaction=True)

ANSWER = """
from notes.models import SignOff
from notes.signing.requests import answer, ask
from notes.signing.verify import broken_sign_offs
from tests.support.world import make_world
world = make_world()
token = ask(rig=world.rig, revision=1, by=world.engineer, address=lambda token: token).url
results = race(lambda n: answer(token=token, decision="signed", words=f"No. {n}"), *range(8))
signed = SignOff.objects.filter(rig=world.rig).count()
print(json.dumps([results, signed, list(broken_sign_offs())]))
"""
CHANGE = """
from core.links import LinkClosed
from notes.models import SignOff
from notes.signing.requests import answer, ask
from rigs.changes.edits import Set
from rigs.revisions.record import record
from tests.support.world import make_world
world = make_world()
token = ask(rig=world.rig, revision=1, by=world.engineer, address=lambda token: token).url

def act(who):
    if who == "player":
        answer(token=token, decision="signed", words="")
    elif who == "tech":
        edit = Set(str(world.control.pk), "control", {"setting": "3:00"})
        record(world.rig, [edit], author=world.tech, base=1)
    else:
        ask(rig=world.rig, revision=1, by=world.engineer, address=lambda token: token)

race(act, "player", "tech", "engineer")
link = type(world.rig).objects.get(pk=world.rig.pk).sign_requests.order_by("pk").first().link
signed = SignOff.objects.filter(rig=world.rig)
whole = signed.count() == (link.used_at is not None)
print(json.dumps([whole, [each.revision.number for each in signed]]))
"""


def test_eight_answers_at_once_make_one_signature(tmp_path: Path) -> None:
    assert run_alone(ANSWER, tmp_path) == [["LinkClosed"] * 7 + ["won"], 1, []]


def test_signing_while_others_change_and_ask_again_is_all_or_nothing(tmp_path: Path) -> None:
    whole, numbers = run_alone(CHANGE, tmp_path)
    assert whole is True
    assert numbers in ([], [1])
