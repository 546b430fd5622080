"""What the first release wrote is brought up to this version, whole, and goes on being written."""

from __future__ import annotations

import gzip
import sqlite3
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from tests.core.operation.test_backup import manage
from tests.support.own_process import own_database
from tests.support.running import run

WRITTEN = Path(__file__).parent / "first_release"
LOOK = """
from django.conf import settings
from django.test import Client
from django.urls import reverse
from core.models import User
from notes.models import Note
from rigs.changes.edits import Set
from rigs.models import Control, Revision, Rig
from rigs.revisions.record import record
from rigs.revisions.verify import verify_rig

HEARD = "when I dig in."
settings.ALLOWED_HOSTS = ["testserver"]
rig, note = Rig.objects.get(), Note.objects.get()
production = rig.production_id
client = Client()
client.force_login(User.objects.get(name__startswith="engineer"))
pages = {
    "rig": reverse("rigs:rig", args=[production, rig.pk]),
    "note": reverse("notes:note", args=[production, note.pk]),
    "found": reverse("core:search", args=[production]) + "?q=barks",
    "api": f"/api/v1/rigs/{rig.pk}/",
}
said = {name: client.get(url) for name, url in pages.items()}
control = Control.objects.get()
tech = User.objects.get(name__startswith="tech")
record(rig, [Set(str(control.pk), "control", {"setting": "4:00"})], author=tech, base=64)
print(json.dumps({
    "pages": {name: answer.status_code for name, answer in said.items()},
    "words": [HEARD in said[name].content.decode() for name in ("note", "found")],
    "sound": "Warm, woody, no clank." in said["rig"].content.decode(),
    "inputs": [each.name for each in note.inputs.all()],
    "why": note.led_to.get().revision.reason_words,
    "walked": verify_rig(Rig.objects.get()),
    "first": Revision.objects.get(number=2).changes.get().new,
}))
"""


@pytest.mark.django_db(transaction=True)
def test_data_of_the_first_release_come_up_to_this_one(tmp_path: Path) -> None:
    with own_database(tmp_path, is_empty=True) as environment:
        script = gzip.decompress((WRITTEN / f"{connection.vendor}.sql.gz").read_bytes()).decode()
        if connection.vendor == "sqlite":
            with closing(sqlite3.connect(tmp_path / "toneledger.sqlite3")) as written:
                written.executescript(script)
        else:
            with psycopg.connect(environment["DATABASE_URL"]) as server:
                server.execute(script)
        for words in (["migrate", "-v0"], ["checkpoint"], ["verify"]):
            done = manage(environment, *words)
            assert done.returncode == 0, done.stderr
        assert "64 changes of 1 rigs walked." in done.stdout
        said = run(LOOK, environment)
        assert said == {
            "pages": {"rig": 200, "note": 200, "found": 200, "api": 200},
            "words": [True, True],
            "sound": True,
            "inputs": ["Bass mic"],
            "why": "Ours is in repair.",
            "walked": 65,
            "first": "3:00",
        }
