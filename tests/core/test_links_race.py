"""However many spend a one-time link at the same moment, one of them does.

In a process of its own, because the run's SQLite database may live in memory, where threads cannot
wait for each other.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
RACE = """
import json, sys, threading, django
django.setup()
from django.core.management import call_command
from django.db import connection, transaction
if connection.vendor == "sqlite":
    call_command("migrate", verbosity=0)
from core.links import LinkClosed
from core.models import Membership, OneTimeLink, Production
from core.services.invitations import accept_invitation, invite
from tests.support.world import make_user

place, boss = Production.objects.create(name="Night Ferry"), make_user("Boss")
tokens = []
invite(production=place, roles=["crew"], by=boss, address=tokens.append)
racers = [make_user(f"Racer {n}") for n in range(16)]
start, results = threading.Barrier(16), []

def run(user):
    start.wait()
    try:
        accept_invitation(token=tokens[0], user=user)
        results.append("won")
    except LinkClosed:
        results.append("late")
    except Exception as error:
        results.append(repr(error))
    finally:
        connection.close()

threads = [threading.Thread(target=run, args=[user]) for user in racers]
for thread in threads: thread.start()
for thread in threads: thread.join()
print(json.dumps([sorted(results), Membership.objects.filter(production=place).count()]))
"""


def environment(tmp_path: Path) -> dict[str, str]:
    found = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings",
             "TONELEDGER_DATA": str(tmp_path), "PYTHONPATH": str(ROOT)}  # fmt: skip
    if connection.vendor == "sqlite":
        found.pop("DATABASE_URL", None)
        return found
    place = connection.settings_dict
    who = place["USER"] + (f":{place['PASSWORD']}" if place["PASSWORD"] else "")
    port = f":{place['PORT']}" if place["PORT"] else ""
    found["DATABASE_URL"] = f"postgres://{who}@{place['HOST']}{port}/{place['NAME']}"
    return found


@pytest.mark.django_db(transaction=True)
def test_sixteen_at_once_have_one_winner(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", RACE], env=environment(tmp_path), cwd=ROOT,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == [["late"] * 15 + ["won"], 1]
