"""What takes long to make, made once and kept in the database for all processes.

    shelf = Shelf(production.pk)
    told = shelf.get("handover", [leg.pk, get_language()], make)

`make` is called where nothing is kept that was made of the same: of what is written in the
production now, by this program, in this time zone, on this day. With `lasting` it may be of all
that was ever written, since what it is made of cannot change; then the name has the digest of that
in it. What does not depend on some tables is not made anew by what is written there:
`Shelf(production.pk, without=[LineCheckMark])`. What `make` gives must be the same for everybody
who may see it, and whoever asks has been let in before: what is kept is found by its production,
and knows of no rights.

Words of a person who was forgotten are not kept: `forget` empties the shelf in the transaction that
removes them, and nothing that was begun before is put on it afterwards.

Where `KEPT_CHECKED` is set, as in tests, what is kept is made all the same and compared.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.models import Sum
from django.utils import timezone

from core import clock
from core.kept.release import release
from core.kept.state import State, state_of
from core.models import KeptResult, Production
from core.owner import Model
from core.personal.opening import forget_all
from core.proof.entries import resting
from core.tables import name_of

MOST_BYTES = 4_000_000  # of a production; what was made first goes first
DAYS = 90  # nothing is kept longer, whoever looks at it
Make = Callable[[], Any]


class KeptDiffers(Exception):
    """What is kept is not what would be made now."""


class Shelf:
    """What is kept of one production, as of now. One query, and one more for each that is got.

    What is got depends on nothing that stands in the tables `without`.
    """

    def __init__(self, production: UUID, without: Iterable[Model] = ()) -> None:
        self.production, self.without = production, [name_of(model) for model in without]
        self.state = state_of(production, self.without)
        self._resting: int | None = None
        self._blocks = 0  # of `together`, one within another
        self._waiting: dict[str, KeptResult] = {}  # by name

    @property
    def keeps(self) -> bool:
        """Whether anything that is made now is kept at all."""
        return not settings.DEBUG and not _is_undoable()

    @contextmanager
    def together(self) -> Iterator[None]:
        """What is made within the block is put on the shelf in one transaction, at its end."""
        self._blocks += 1
        try:
            yield
        finally:
            self._blocks -= 1
            if not self._blocks and self._waiting:
                rows, self._waiting = self._waiting, {}
                self._put(list(rows.values()))

    def get(self, what: str, asked: Sequence[object], make: Make, *, lasting: bool = False) -> Any:
        """What `make` gives, which is plain data (JSON). `what` and `asked` say all that it depends
        on besides the state of the production."""
        name, stamp = _digest(what, *asked), self._stamp(self.state, lasting)
        found = KeptResult.objects.filter(production=self.production, name=name, stamp=stamp)
        body = found.values_list("body", flat=True).first()
        if body is None:
            return self._made(name, lasting, make)
        kept = zlib.decompress(body)
        if settings.KEPT_CHECKED and kept != _json(make()):
            raise KeptDiffers(f"{what} {asked}")
        return json.loads(kept)

    def _made(self, name: str, lasting: bool, make: Make) -> Any:
        # Before it is made: what is written meanwhile has an entry that this one does not know.
        stamp = self._stamp_to_keep(lasting)
        if self.state.is_just_forgotten:
            forget_all()
        # What is part of another result goes there with it.
        with self.together():
            content = _json(make())
            if stamp:
                self._waiting[name] = self._row(name, stamp, lasting, content)
        # Read back, so that it is the same the first time as ever after.
        return json.loads(content)

    def _row(self, name: str, stamp: str, lasting: bool, content: bytes) -> KeptResult:
        body = zlib.compress(content)
        return KeptResult(
            production_id=self.production,
            name=name,
            stamp=stamp,
            lasting=lasting,
            body=body,
            size=len(body),
        )

    def _stamp_to_keep(self, lasting: bool) -> str:
        """Empty where it is not to be kept."""
        if not self.keeps:
            return ""
        if lasting:
            return self._stamp(self.state, lasting)
        # Somebody may be writing an entry with a smaller id, which nobody sees yet.
        if self._resting is None:
            self._resting = resting(self.production, self.without)
        if self._resting is None:
            return ""
        return self._stamp(self.state._replace(entries=self._resting), lasting)

    def _stamp(self, state: State, lasting: bool) -> str:
        zone = timezone.get_current_timezone_name()
        if lasting:
            return _digest(release(), zone, state.forgotten)
        days = clock.now().date(), timezone.localdate(clock.now())
        return _digest(release(), zone, state.forgotten, state.entries, *days)

    def _put(self, rows: list[KeptResult]) -> None:
        try:
            with _without_waiting(), transaction.atomic():
                if not self._is_as_it_was():
                    return
                KeptResult.objects.bulk_create(
                    rows,
                    update_conflicts=True,
                    unique_fields=["production", "name"],
                    update_fields=["stamp", "lasting", "body", "size", "made_at"],
                )
                _make_room(self.production)
        except DatabaseError:
            pass  # somebody is writing: whoever comes next makes and keeps it

    def _is_as_it_was(self) -> bool:
        """Whether nobody was forgotten since; nobody is until the transaction ends."""
        # `forget` holds this row from before it removes anything.
        row = Production.objects.filter(pk=self.production)
        held = list(row.order_by().select_for_update(nowait=True, no_key=True).values_list("pk"))
        return bool(held) and state_of(self.production).forgotten == self.state.forgotten


def empty(production: UUID) -> None:
    """Keep nothing of it any more."""
    KeptResult.objects.filter(production=production).delete()


def drop_old() -> int:
    """Drop what was made long ago; how many those were."""
    before = clock.now() - timedelta(days=DAYS)
    return KeptResult.objects.filter(made_at__lt=before).delete()[0]


def _make_room(production: UUID) -> None:
    rows = KeptResult.objects.filter(production=production)
    over = (rows.aggregate(bytes=Sum("size"))["bytes"] or 0) - MOST_BYTES
    if over <= 0:
        return
    going = []
    for key, size in rows.order_by("made_at", "pk").values_list("pk", "size"):
        if over <= 0:
            break
        going.append(key)
        over -= size
    rows.filter(pk__in=going).delete()


def _is_undoable() -> bool:
    """Whether this is within a transaction, which may be undone with what it has written."""
    blocks = connection.atomic_blocks
    # A test's own transaction is as the world to it.
    return bool(blocks) and not getattr(blocks[-1], "_from_testcase", False)


@contextmanager
def _without_waiting() -> Iterator[None]:
    """SQLite has one writer: nobody who reads waits for another one."""
    if connection.vendor != "sqlite":
        yield
        return
    patience_s = settings.DATABASES["default"].get("OPTIONS", {}).get("timeout", 5)
    _wait(0)
    try:
        yield
    finally:
        _wait(int(patience_s * 1000))


def _wait(milliseconds: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA busy_timeout = {milliseconds}")


def _json(made: Any) -> bytes:
    return json.dumps(made, ensure_ascii=False, separators=(",", ":")).encode()


def _digest(*parts: object) -> str:
    return hashlib.sha256(json.dumps([str(each) for each in parts]).encode()).hexdigest()
