"""Ways of tampering, as somebody who holds the database; which `verify` finds, and by what.

    python -m tests.bench.tampering

Each is tried on one small world, without the log hearing of it and with the triggers out of the
way, and undone again: first the ways that somebody might think of, then of every table that the log
holds a row changed, deleted and added. Prints a table in Markdown; tests/notes/test_tampering.py
holds the results.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple
from uuid import uuid4

import django
from django.conf import settings

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()

from django.db import DatabaseError, connection, models, transaction

from core import clock
from core.append_only import set_aside, unprotected
from core.models import Checkpoint, LogEntry, LogSalt, Player, Production
from core.proof import entries
from core.proof.checkpoints import Stated, frontier_of, stated, take
from core.proof.kept import Kept, orphans
from core.proof.key import make
from core.proof.shape import read, shapes
from core.proof.verify import broken_log
from core.tables import is_counted
from notes.management.commands.verify import walked
from notes.models import (
    Acknowledgement,
    Alternative,
    BlindAnswer,
    CapturePair,
    Clip,
    LineCheckMark,
    Note,
    PublishedHandover,
    Question,
    ReasonLink,
    SignOff,
)
from notes.signing.seal import seal_of
from rigs.changes import chain
from rigs.models import KeyFrame, Revision, Rig, StoredPhoto, UpkeepEntry
from rigs.models.parts import gateway
from tests.bench.database import own_test_database
from tests.notes.archive.full import fill_all
from tests.support.world import World, make_world

Tamper = Callable[[World], None]
HERE, ELSEWHERE, NOT = "found", "found by a checkpoint from elsewhere", "not found"


class Way(NamedTuple):
    name: str
    expected: str
    tamper: Tamper


def changed(model: Any, **values: Any) -> Tamper:
    def tamper(_: World) -> None:
        row = model._base_manager.order_by("pk").first()
        assert row is not None, model
        model._base_manager.filter(pk=row.pk).update(**values)

    return tamper


def deleted(model: Any) -> Tamper:
    def tamper(_: World) -> None:
        row = model._base_manager.order_by("pk").last()
        assert row is not None, model
        _raw_delete(model._base_manager.filter(pk=row.pk))

    return tamper


def _raw_delete(rows: Any) -> None:
    rows._raw_delete(rows.db)


def resealed(_: World) -> None:
    sign_off = SignOff.objects.select_related("clip", "revision").first()
    assert sign_off is not None
    sign_off.words = "As never before."
    values = {"words": sign_off.words, "seal": seal_of(sign_off)}
    SignOff.objects.filter(pk=sign_off.pk).update(**values)


def forged(world: World) -> None:
    made = SignOff.objects.select_related("clip", "revision").first()
    assert made is not None
    made.pk = None
    made.pk = made._meta.pk.get_default()
    made.party, made.user, made.name, made.at = "tech", world.tech, world.tech.name, clock.now()
    made.seal = seal_of(made)
    made.save(force_insert=True)


def moved(world: World) -> None:
    other = make_world("Elsewhere")
    Rig.objects.filter(pk=world.rig.pk).update(production=other.production)


def of_another_player(world: World) -> None:
    heard = entries._silent.set(False)
    other = Player.objects.create(production=world.production, name="Nobody")
    entries._silent.reset(heard)
    Rig.objects.filter(pk=world.rig.pk).update(player=other)


def in_anothers_name(world: World) -> None:
    """With its digest, its head and the state it leads to, as the service writes them."""
    world.turn("11:00", author=world.engineer)


def _entry_of(model: Any) -> None:
    row = list(read(model, model._base_manager.order_by("-pk")[:1]))[0]
    digest = bytes.fromhex(row.digest)
    said = entries.Entry(shapes()[model].table, row.key, digest, "")
    LogEntry.objects.create(
        production_id=row.production, table=said.table, key=said.key, digest=digest
    )


def in_anothers_name_with_an_entry(world: World) -> None:
    in_anothers_name(world)
    _entry_of(Revision)


def by_the_service(world: World) -> None:
    """By a session of somebody else’s, or with the key: nothing tells it from their own change."""
    token = entries._silent.set(False)
    try:
        in_anothers_name(world)
    finally:
        entries._silent.reset(token)


def cut(world: World) -> None:
    """The newest change, its rows, the state, the head, its entry: as if it had never been."""
    rig = Rig.objects.get(pk=world.rig.pk)
    last = rig.revisions.get(number=rig.head_number)
    before = rig.revisions.get(number=rig.head_number - 1)
    for row in last.changes.all():
        model = {"control": type(world.control)}[row.kind]
        old = row.old if row.old is not None else ""
        model._base_manager.filter(pk=row.part).update(**{row.field: old})
    _raw_delete(last.changes.all())
    _raw_delete(Revision.objects.filter(pk=last.pk))
    Rig.objects.filter(pk=rig.pk).update(head_number=before.number, head_digest=before.digest)
    _raw_delete(LogEntry.objects.filter(key=f"{rig.pk}/{last.number}"))
    _checkpoints_anew(world)


def rewritten(world: World) -> None:
    """A change in other words: its digest, head, entry and all checkpoints made anew."""
    rig = Rig.objects.get(pk=world.rig.pk)
    last = rig.revisions.get(number=rig.head_number)
    row = last.changes.get()
    row.new_json = chain.canonical("4:44").decode()
    type(row).objects.filter(pk=row.pk).update(new_json=row.new_json)
    type(world.control)._base_manager.filter(pk=row.part).update(setting="4:44")
    last.digest = _digest_anew(last)
    Revision.objects.filter(pk=last.pk).update(digest=last.digest)
    Rig.objects.filter(pk=rig.pk).update(head_digest=last.digest)
    own = LogEntry.objects.filter(key=f"{rig.pk}/{last.number}")
    own.update(digest=bytes.fromhex(last.digest))
    _checkpoints_anew(world)


def _digest_anew(revision: Revision) -> str:
    own = Revision.objects.filter(pk=revision.pk)
    name, words = own.values_list("author_name", "reason_words").get()  # as they are stored
    author = {"id": str(revision.author_id), "name": str(name)}
    reason = {
        "kind": revision.reason_kind,
        "words": str(words),
        "notes": revision.note_ids,
    }
    return chain.digest(
        chain.content_of(
            rig=str(revision.rig_id),
            number=revision.number,
            parent=revision.parent_digest,
            author=author,
            at=chain_moment(revision),
            reason=reason,
            restored=revision.restored,
            changes=[row.as_change() for row in revision.changes.all()],
        )
    )


def chain_moment(revision: Revision) -> str:
    from rigs.revisions.writer import iso

    return iso(revision.at)


def _checkpoints_anew(world: World) -> None:
    """Unsigned, since the key is not in the database; marks of entries taken off as well."""
    LogEntry.objects.filter(production=world.production).update(mark=b"")
    _raw_delete(Checkpoint.objects.filter(production=world.production))
    frontier = frontier_of(None)
    for each in entries.entries_of(world.production.pk):
        frontier.append(each.entry.leaf())
    Checkpoint.objects.create(
        production=world.production,
        size=frontier.size,
        root=frontier.root().hex(),
        peaks=" ".join(peak.hex() for peak in frontier.peaks),
        why="day",
        protected=True,
    )


def newest_handover(world: World) -> None:
    """With its entry and every checkpoint."""
    last = PublishedHandover.objects.order_by("number").last()
    assert last is not None
    Acknowledgement.objects.filter(published=last).update(published=None)
    _raw_delete(PublishedHandover.objects.filter(pk=last.pk))


def everything_gone(world: World) -> None:
    from notes.demo.remove import _models, _rows

    for model in _models():
        _raw_delete(_rows(model, world.production))


def log_gone(world: World) -> None:
    for model in (LogEntry, LogSalt, Checkpoint):
        _raw_delete(model.objects.filter(production=world.production))


def allowing_trigger(_: World) -> None:
    """Done after the triggers are back, by `trial`."""


WAYS = [
    Way("words of a note changed", HERE, changed(Note, words="Never said.")),
    Way("a note says it settled otherwise", HERE, changed(Note, settled_words="Fine.")),
    Way("reason’s link deleted", HERE, deleted(ReasonLink)),
    Way("trial’s choice changed", HERE, changed(Alternative, verdict="rejected", words="No.")),
    Way("question reworded", HERE, changed(Question, words="Why?")),
    Way("reading mark deleted", HERE, deleted(Acknowledgement)),
    Way("line-check mark changed", HERE, changed(LineCheckMark, words="All well.")),
    Way("upkeep entry deleted", HERE, deleted(UpkeepEntry)),
    Way("sign-off deleted", HERE, deleted(SignOff)),
    Way("sign-off resealed", HERE, resealed),
    Way("sign-off forged", HERE, forged),
    Way("photo replaced with its row", HERE, changed(StoredPhoto, sha256="ab" * 32)),
    Way("figures of a clip", HERE, changed(Clip, figures={"loudness_lufs": -3})),
    Way("figures of a capture", HERE, changed(CapturePair, method="another")),
    Way("blind answer changed", HERE, changed(BlindAnswer, x="b", prefers="b")),
    Way("newest handover deleted", HERE, newest_handover),
    Way("key frame deleted", HERE, deleted(KeyFrame)),
    Way("rig moved to another production", HERE, moved),
    Way("rig given to another player", HERE, of_another_player),
    Way("change appended in another’s name", HERE, in_anothers_name),
    Way("the same, with an entry in the log", HERE, in_anothers_name_with_an_entry),
    Way("the same, through the service or with the key", NOT, by_the_service),
    Way("trigger replaced by one that allows", HERE, allowing_trigger),
    Way("log of a production deleted", HERE, log_gone),
    Way("end of a history cut, with head, state, entry, checkpoints", ELSEWHERE, cut),
    Way("change rewritten, with chain, entry, checkpoints", ELSEWHERE, rewritten),
    Way("whole production deleted, with its log", ELSEWHERE, everything_gone),
]


def trial(world: World, kept: list[Stated]) -> Iterator[tuple[Way, str, str]]:
    """Each way, whether it was found, and the first sentence that says so."""
    for way in WAYS:
        sid = transaction.savepoint()
        with entries.silent(), gateway(), set_aside(connection):
            way.tamper(world)
        if way.tamper is allowing_trigger:
            replace_trigger()
        here = breaks(world, [])
        there = breaks(world, kept) if not here else []
        found = HERE if here else ELSEWHERE if there else NOT
        transaction.savepoint_rollback(sid)
        yield way, found, (here or there or [""])[0]


def of_each_table(world: World) -> Iterator[tuple[str, str, bool]]:
    """Every table of the log with what was done to a row of it, and whether it was found."""
    with set_aside(connection):  # once for all: taking triggers away and back takes longer
        for model, shape in sorted(shapes().items(), key=lambda item: item[1].table):
            rows = model._base_manager.filter(**{shape.production: world.production.pk})
            row = rows.order_by("pk").first()
            if row is None:
                continue
            for what, tamper in (("changed", _change), ("deleted", _delete), ("added", _add)):
                sid = transaction.savepoint()
                with entries.silent(), gateway():
                    is_done = tamper(model, row)
                if is_done:
                    yield (
                        shape.table,
                        what,
                        _is_found(world.production, is_whole=bool(shape.digest)),
                    )
                transaction.savepoint_rollback(sid)


def _is_found(production: Production, *, is_whole: bool) -> bool:
    """A digest over a whole row is compared with it where rows of that kind are walked."""
    return bool(walked(production)[2] if is_whole else next(broken_log(production), None))


def _change(model: Any, row: Any) -> bool:
    """Its first column that takes another value."""
    for field in model._meta.concrete_fields:
        if (
            field.primary_key
            or field.is_relation
            or field.name in getattr(model, "LOG_WITHOUT", ())
        ):
            continue
        value = _other(field, getattr(row, field.attname))
        if value is not None and _tried(model._base_manager.filter(pk=row.pk), {field.name: value}):
            return True
    return False


def _tried(row: Any, values: dict[str, Any]) -> bool:
    try:
        with transaction.atomic():
            return bool(row.update(**values))
    except DatabaseError:  # a rule of the table refuses it
        return False


def _other(field: Any, value: Any) -> Any:
    """Another value of that kind; None where none comes to mind."""
    if field.choices:
        return next((key for key, _ in field.flatchoices if key != value), None)
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | Decimal):
        return value + 1
    if isinstance(value, date):  # and moments
        return value + timedelta(days=1)
    if isinstance(field, models.CharField | models.TextField):
        return ("x" if not str(value).startswith("x") else "y") * min(field.max_length or 9, 64)
    return None


def _delete(model: Any, row: Any) -> bool:
    _raw_delete(model._base_manager.filter(pk=row.pk))
    return True


def _add(model: Any, row: Any) -> bool:
    """A copy under another key; not where a row like it may be there but once. Another production
    has a log of its own."""
    if model is Production:
        return False
    copy = model._base_manager.get(pk=row.pk)
    copy.pk = None if is_counted(model) else uuid4()
    copy._state.adding = True
    try:
        with transaction.atomic():
            copy.save_base(raw=True, force_insert=True)
    except (DatabaseError, ValueError):
        return False
    return True


def replace_trigger() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DROP TRIGGER rigs_revision_no_update")
            cursor.execute(
                "CREATE TRIGGER rigs_revision_no_update BEFORE UPDATE ON rigs_revision "
                "BEGIN SELECT 1; END"
            )
        else:
            cursor.execute(
                "CREATE FUNCTION allowing() RETURNS trigger LANGUAGE plpgsql AS "
                "$$ BEGIN RETURN NEW; END $$"
            )
            cursor.execute(
                "CREATE OR REPLACE TRIGGER rigs_revision_no_update BEFORE UPDATE ON rigs_revision "
                "FOR EACH ROW EXECUTE FUNCTION allowing()"
            )


def breaks(world: World, given: list[Stated]) -> list[str]:
    """What `verify` says, with checkpoints from elsewhere."""
    kept = Kept([])
    kept.stated = given
    found = [*unprotected(connection), *orphans(kept)]
    for production in Production.objects.filter(pk=world.production.pk):
        found += walked(production, kept)[2]
    return found


def checkpoints(world: World) -> list[Stated]:
    rows = Checkpoint.objects.filter(production=world.production).order_by("size")
    return [stated(row) for row in rows]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, transaction.atomic():
        settings.SIGNING_KEY = Path(folder) / "key"
        make(settings.SIGNING_KEY)
        world = make_world()
        fill_all(world)
        world.turn("9:00")
        take(world.production.pk, Checkpoint.Why.ASKED)
        kept = checkpoints(world)
        print(f"{connection.vendor}\n\n| what was done | | what `verify` says first |")
        print("|---|---|---|")
        for way, found, words in trial(world, kept):
            print(f"| {way.name} | {found} | {words} |")
        every = list(of_each_table(world))
        tables = {table for table, *_ in every}
        print(f"\n{len(every)} ways with the rows of {len(tables)} tables. Not found:")
        print([f"{table} {what}" for table, what, found in every if not found])


if __name__ == "__main__":
    with own_test_database():
        main()
