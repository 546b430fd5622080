"""Keep texts apart from what refers to them, open them, check them, remove them."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any
from uuid import UUID

from django.db import connection, transaction

from core.models import PersonalText, Player, Production, Removal, User
from core.personal import opening
from core.personal.commitments import commitment, committed_in, new_salt, opens, reference
from core.personal.opening import MOST, forget_all, remember
from core.proof.entries import note_sealed

Kind = PersonalText.Kind
_AT_ONCE = 500  # parameters of a query


def keep(
    production: UUID,
    text: str,
    kind: str,
    *,
    person: UUID | None = None,
    player: UUID | None = None,
) -> str:
    """Keep `text` of that person or musician; the reference that takes its place elsewhere.

    An empty text is nobody's, and stays as it is. A name is kept once, words as often as they are
    written: two references that are alike would tell that the same thing was said.
    """
    if not text:
        return ""
    key = (connection.settings_dict["NAME"], production, person, player, text)
    if kind == Kind.NAME:
        known, until = _names.get(key, ("", 0.0))
        if until > time.monotonic():
            return known
        if known := _known_name(production, text, person, player):
            transaction.on_commit(partial(_remember_name, key, known))
            remember(known, text)
            return known
    salt = new_salt()
    committed = commitment(text, salt)
    _insert([production, person, player, kind, committed, salt, text, None])
    note_sealed(PersonalText, production, committed, committed)
    made = reference(committed)
    remember(made, text)
    if kind == Kind.NAME:
        # Only what stays: a name of a transaction that is undone was never kept.
        transaction.on_commit(partial(_remember_name, key, made))
    return made


def _remember_name(key: tuple[object, ...], made: str) -> None:
    if len(_names) > MOST:
        _names.clear()
    _names[key] = (made, time.monotonic() + opening.REMEMBERED_S)


def forget_remembered() -> None:
    """What this process remembers of names and texts; the next reader asks the database."""
    _names.clear()
    forget_all()


def _insert(values: list[Any]) -> None:
    """Written out, because composing it anew costs an edit more than running it does."""
    prepared = [
        column.get_db_prep_save(value, connection)
        for column, value in zip(_COLUMNS, values, strict=True)
    ]
    with connection.cursor() as cursor:
        cursor.execute(_INSERT, prepared)


_COLUMNS: tuple[Any, ...] = tuple(
    PersonalText._meta.get_field(name)
    for name in ("production", "person", "player", "kind", "commitment", "salt", "text", "removal")
)
_INSERT = (
    f"INSERT INTO {PersonalText._meta.db_table} "  # noqa: S608
    f"({', '.join(str(column.column) for column in _COLUMNS)}) "
    f"VALUES ({', '.join(['%s'] * len(_COLUMNS))})"
)
# References of names that were kept, with the moment until which that is taken as true.
_names: dict[tuple[object, ...], tuple[str, float]] = {}


def _known_name(production: UUID, text: str, person: UUID | None, player: UUID | None) -> str:
    rows = PersonalText.objects.filter(
        production=production, person=person, player=player, kind=Kind.NAME, removal=None
    )
    # Compared here: few names are one person's, and a database may fold what differs.
    for known, committed in rows.values_list("text", "commitment"):
        if known == text:
            return reference(committed)
    return ""


def rows_of(references: Iterable[str]) -> dict[str, PersonalText]:
    """What is kept for each of `references`, by reference. What is no reference is left out."""
    wanted = sorted({c for each in references if (c := committed_in(each)) is not None})
    found: dict[str, PersonalText] = {}
    for start in range(0, len(wanted), _AT_ONCE):
        some = PersonalText.objects.filter(commitment__in=wanted[start : start + _AT_ONCE])
        found |= {reference(row.commitment): row for row in some.select_related("removal__by")}
    return found


@transaction.atomic
def remove(rows: Iterable[PersonalText], removal: Removal) -> int:
    """Delete text and salt of `rows`, leaving the commitments; how many there were."""
    return _emptied([row.pk for row in rows if row.removal_id is None], removal)


def _emptied(keys: list[int], removal: Removal) -> int:
    count = 0
    for start in range(0, len(keys), _AT_ONCE):
        some = PersonalText.objects.filter(pk__in=keys[start : start + _AT_ONCE])
        count += some.update(text="", salt="", removal=removal)
    _forget_now_and_when_done()
    return count


def take_out(row: PersonalText, left: str, removal: Removal) -> None:
    """Leave `left` of words in which somebody was named; they can no longer be opened."""
    row.text, row.salt, row.removal = left, "", removal
    row.save(update_fields=["text", "salt", "removal"])
    _forget_now_and_when_done()


def _forget_now_and_when_done() -> None:
    forget_remembered()
    # Others may have read between this statement and the end of the transaction.
    transaction.on_commit(forget_remembered)


def texts_of(
    production: Production, *, person: User | None = None, player: Player | None = None
) -> Iterator[PersonalText]:
    """What is kept of that account and of that musician in `production`, oldest first."""
    for row in PersonalText.objects.filter(production=production).order_by("pk").iterator():
        if (person and row.person_id == person.pk) or (player and row.player_id == player.pk):
            yield row


def broken_texts(production: UUID | None = None) -> Iterator[str]:
    """What is wrong, in words: a text that does not open its commitment, or went without a word."""
    rows = PersonalText.objects.select_related("production", "removal").order_by("pk")
    if production:
        rows = rows.filter(production=production)
    for row in rows.iterator(chunk_size=2000):
        if wrong := _wrong(row):
            yield f"{row.production} · {row.get_kind_display()} {row.commitment[:12]}…: {wrong}."


def _wrong(row: PersonalText) -> str:
    if row.removal is None:
        if not opens(row.commitment, row.text, row.salt):
            return "is not what was written: it does not open its commitment"
    elif row.removal.production_id != row.production_id:
        return "says that it was removed in another production"
    elif row.salt:
        return "says that it was removed, and its salt is there"
    return ""
