"""The demonstration goes as it came: whole, and only where nobody wrote into it."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.test import Client

from core.append_only import missing_triggers
from core.models import Leg, Membership, Player, Production, User
from notes.demo import cast
from notes.models import Demonstration, Note, SignOff
from rigs.models import Photo, Revision, Rig
from tests.support.world import make_user


def demo(*words: str) -> str:
    out = io.StringIO()
    call_command("demo", *words, stdout=out)
    return out.getvalue()


def rows() -> dict[str, int]:
    """How many rows each table of the database has, whatever models know of it."""
    names = connection.introspection.table_names()
    inner = ("core_searchentry_fts_",)  # SQLite’s own, of its full-text search
    with connection.cursor() as cursor:
        found = {}
        for name in sorted(names):
            if not name.startswith(inner):
                cursor.execute(f'SELECT count(*) FROM "{name}"')
                found[name] = cursor.fetchone()[0]
        return found


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def empty(db: None, tmp_path: Path, settings: Any) -> dict[str, int]:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.MEDIA_ROOT.mkdir()
    return rows()


def test_nothing_of_it_is_left(
    empty: dict[str, int], settings: Any, django_capture_on_commit_callbacks: Any
) -> None:
    """Also after it was read: that is no writing."""
    demo()
    assert files(settings.MEDIA_ROOT)
    read_by(cast.ENGINEER)
    with django_capture_on_commit_callbacks(execute=True):
        assert "is gone" in demo("--remove")
    left = rows()
    sessions = {"django_session": left["django_session"]}
    assert left == empty | sessions
    assert files(settings.MEDIA_ROOT) == set()
    assert missing_triggers(connection) == []


def read_by(email: str) -> None:
    client = Client()
    client.force_login(User.objects.get(email=email))
    place = Production.objects.get().get_absolute_url()
    seen = set(re.findall(r'href="(/p/[^"#?]+)', client.get(place).content.decode()))
    for url in [*sorted(seen), f"{place}search/?q=bass"]:
        assert client.get(url).status_code in (200, 302), url


def a_note() -> None:
    note = Note.objects.earliest("written_at")
    note.pk, note._state.adding = None, True
    note.save()


def a_change() -> None:
    from rigs.changes.edits import Set
    from rigs.revisions.record import record

    rig = Rig.objects.get(name="Bass main")
    unit = rig.units.filter(retired=False).first()
    assert unit is not None
    author = User.objects.get(email=cast.TECH)
    record(
        rig, [Set(str(unit.pk), "unit", {"notes": "Mind it."})], author=author, base=rig.head_number
    )


def an_invitation() -> None:
    from core.services.invitations import invite

    by = User.objects.get(email=cast.MANAGER)
    invite(production=Production.objects.get(), roles=["crew"], by=by, address=str)


def another_name() -> None:
    Player.objects.filter(name="Ivo Tandeker").update(name="Ivo T.")


def another_person() -> None:
    place = Production.objects.get()
    Membership.objects.create(production=place, user=make_user("Nel"), role="crew")


def another_leg() -> None:
    Leg.objects.create(
        production=Production.objects.get(),
        name="Spring",
        starts_on=date(2027, 3, 1),
        ends_on=date(2027, 3, 9),
    )


def another_production() -> None:
    place = Production.objects.create(name="Low Ferry")
    person = User.objects.get(email=cast.ENGINEER)
    Membership.objects.create(production=place, user=person, role="engineer")


def words_elsewhere() -> None:
    place = Production.objects.create(name="Low Ferry")
    person = User.objects.get(email=cast.ENGINEER)
    place.links.create(
        purpose="invitation", digest="0" * 64, made_by=person, expires_at="2027-01-01T00:00Z"
    )


WRITTEN: dict[Callable[[], None], str] = {
    a_note: "It differs in: notes",
    a_change: "It differs in: ",
    an_invitation: "It differs in: one time links",
    another_name: "It differs in: players",
    another_person: "It differs in: memberships",
    another_leg: "It differs in: legs",
    another_production: "Greta Sollund of the demonstration is also in Low Ferry",
    words_elsewhere: "wrote into another production",
}


def test_what_somebody_wrote_is_never_deleted(empty: dict[str, int], settings: Any) -> None:
    demo()
    stored = files(settings.MEDIA_ROOT)
    for write, wrong in WRITTEN.items():
        with transaction.atomic():
            write()
            before = rows()
            with pytest.raises(CommandError, match=re.escape(wrong)):
                demo("--remove")
            assert rows() == before, write
            assert missing_triggers(connection) == [], write
            transaction.set_rollback(True)
    assert files(settings.MEDIA_ROOT) == stored
    # The history is protected as before.
    for model in (Revision, SignOff):
        with pytest.raises(DatabaseError), transaction.atomic():
            model.objects.all()._raw_delete(connection.alias)
    # One of an earlier release, which did not record what it wrote.
    Demonstration.objects.all().delete()
    with pytest.raises(CommandError, match="loaded by an earlier release"):
        demo("--remove")
    assert Photo.objects.exists()


def test_there_is_none(db: None) -> None:
    with pytest.raises(CommandError, match="There is no demonstration"):
        demo("--remove")


def test_it_is_refused_beside_another_production(db: None) -> None:
    Production.objects.create(name="Low Ferry")
    with pytest.raises(CommandError, match="this database holds “Low Ferry”"):
        demo()
    assert not User.objects.exists()
    # Whoever starts the service has it all the same.
    out = io.StringIO()
    call_command("start", "--no-serve", stdout=out)
    assert "The demonstration is not loaded" in out.getvalue()
    assert Production.objects.count() == 1


def test_every_table_with_a_production_is_looked_at_or_made_by_programs() -> None:
    from core.owner import path_to_production
    from notes.archive.tables import LEFT_OUT
    from notes.demo.written import _models

    looked_at = {model._meta.label for model in _models()}
    made = {"core.Presence", "core.DoneRequest", "core.SearchEntry", "rigs.IndexedRig"}
    made |= {"core.SearchWord", "core.IndexedProduction", "core.KeptResult"}
    made |= {"core.User", "core.User_groups", "core.User_user_permissions", "notes.Demonstration"}
    made |= {"notes.SignedScatter", "core.GuestOpening"}
    # Of accounts and their log-ins, not of a production.
    made |= {"core.LogIn", "core.Passkey", "core.RecoveryCode", "core.SecondFactor"}
    made |= {"core.KnownDevice", "core.Tries"}
    made |= {"core.Checkpoint", "core.LogBegun", "core.LogEntry", "core.LogNode", "core.LogSalt"}
    assert set(LEFT_OUT) - looked_at <= made
    for model in apps.get_models(include_auto_created=True):
        if model._meta.app_label in ("core", "rigs", "notes"):
            label = model._meta.label
            assert label in looked_at | made, label
            if label in looked_at:
                assert path_to_production(model)
