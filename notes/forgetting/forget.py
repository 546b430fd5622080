"""Forget somebody in a production, in one transaction; or look at what that would do."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from django.contrib.admin.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.utils.translation import gettext as _
from rest_framework.authtoken.models import Token

from core.guests.links import withdraw
from core.kept import shelf
from core.languages.choice import as_stored
from core.models import (
    GuestLink,
    IndexedProduction,
    PersonalText,
    Presence,
    Production,
    Removal,
    SearchEntry,
    SearchWord,
    User,
)
from core.personal.opening import FORGOTTEN, removed_words
from core.personal.store import remove, take_out
from core.places import SEARCH_FORGET
from core.services.members import remove_member
from core.sign_in.forgetting import forget_person
from notes.forgetting import tables
from notes.forgetting.files import of_picture, take_away
from notes.forgetting.subject import TAKEN_OUT, Subject, mention_of, names_of, own_texts
from notes.models import NoteMemo, NotePhoto
from rigs.models import Photo

Kind = PersonalText.Kind


@dataclass
class Report:
    """What went and what stays: how many rows, by what they are."""

    gone: Counter[str] = field(default_factory=Counter)
    stays: Counter[str] = field(default_factory=Counter)
    closes_account: bool = False

    @property
    def goes(self) -> list[tuple[str, int]]:
        return sorted((what, count) for what, count in self.gone.items() if count)

    @property
    def staying(self) -> list[tuple[str, int]]:
        return sorted(self.stays.items())


class _OnlyLooking(Exception):
    pass


def look(subject: Subject, *, words: bool = True) -> Report:
    """What `forget` would do, found by doing it and undoing it all."""
    report = Report()
    try:
        with transaction.atomic():
            asked = Removal.Request.PERSON
            report = forget(subject, by=None, asked_by=asked, reason="", words=words)
            raise _OnlyLooking
    except _OnlyLooking:
        return report


@transaction.atomic
def forget(
    subject: Subject, *, by: User | None, asked_by: str, reason: str, words: bool = True
) -> Report:
    """Take `subject` out of their production: names, and unless `words` is False what they wrote.

    Commitments stay, so that every digest over them holds. An account that is in no other
    production is closed. Raises LastManager, and ValidationError for a reason that names them.
    """
    report = Report()
    _overwrite_what_goes()
    production = Production.objects.select_for_update().get(pk=subject.production.pk)
    names = names_of(subject)
    mention = mention_of(names)
    if mention.search(reason):
        raise ValidationError({"reason": _("Do not name the person here: the reason stays.")})
    removal = Removal.objects.create(
        production=production,
        person=subject.person,
        player=subject.player,
        by=by,
        asked_by=asked_by,
        reason=reason,
    )
    with as_stored():
        instead = removed_words(removal.at, by.name if by and by != subject.person else "")
    if subject.typed:
        _close_links(subject, by, report)
    _texts(subject, names, removal, words, report)
    tables.rename(subject, instead, report.gone)
    if words:
        tables.empty_words(subject, instead, report.gone)
        _files(subject, removal, report)
    if subject.player:
        subject.player.name = instead
        subject.player.save(update_fields=["name"])
    tables.take_out_mentions(subject, names, mention, report.gone)
    if subject.person:
        _leave(subject.person, production, instead, report)
    _search_anew(production)
    shelf.empty(production.pk)
    report.stays = tables.staying(subject, names, mention)
    transaction.on_commit(_leave_no_old_pages)
    return report


def _close_links(subject: Subject, by: User | None, report: Report) -> None:
    """Those that were made for them open nothing any more."""
    own = GuestLink.objects.filter(production=subject.production, for_whom=subject.typed)
    report.gone[_("open links for them")] += withdraw(own, by=by)


def _texts(
    subject: Subject, names: list[str], removal: Removal, words: bool, report: Report
) -> None:
    own = [row for row in own_texts(subject) if row.removal_id is None]
    going = [row for row in own if words or row.kind == Kind.NAME]
    remove(going, removal)
    for row in going:
        what = _("names kept apart") if row.kind == Kind.NAME else _("words kept apart")
        report.gone[what] += 1
    mention = mention_of(names)
    others = PersonalText.objects.filter(production=subject.production).order_by("pk")
    for row in others.iterator():
        left = mention.sub(TAKEN_OUT, row.text)
        if left == row.text:
            continue
        if row.removal_id is None:
            take_out(row, left, removal)
        report.gone[_("mentions in words kept apart")] += 1


def _files(subject: Subject, removal: Removal, report: Report) -> None:
    """Voice memos of their own notes, and photos that they added to notes and no rig shows."""
    production = subject.production
    memos = NoteMemo.objects.filter(note__production=production).select_related("sound", "note")
    photos = NotePhoto.objects.filter(note__production=production).select_related("image")
    going: dict[tuple[str, str], str] = {}
    for memo in memos:
        if _spoken_by(subject, memo):
            going |= {
                ("sounds", each): _("files of voice memos")
                for each in (memo.sound.sha256, memo.preview)
            }
    if subject.person:
        for photo in photos.filter(added_by=subject.person):
            if not Photo.objects.filter(image=photo.image).exists():
                pair = of_picture(photo.image)
                going |= dict.fromkeys(pair, _("files of photos of notes"))
    report.gone.update(going.values())
    take_away(removal, going)


def _spoken_by(subject: Subject, memo: NoteMemo) -> bool:
    note = memo.note
    if note.said_by_player_id is not None:
        return subject.player is not None and note.said_by_player_id == subject.player.pk
    return subject.person is not None and note.written_by_id == subject.person.pk


def _leave(person: User, production: Production, instead: str, report: Report) -> None:
    if production.memberships.filter(user=person).exists():
        remove_member(production=production, user=person)
        report.gone["membership"] += 1
    if not person.memberships.exists() and not person.is_superuser:
        report.closes_account = True
        close_account(person, instead)
    else:
        tables.stand_in(person, production, instead)


def close_account(person: User, instead: str) -> None:
    """The account stays, because history points at it; nothing in it is anybody's any more."""
    forget_person(person)
    person.name, person.email = instead[:120], f"{person.pk}{FORGOTTEN}"
    person.is_active, person.asked_to_go_at, person.last_login = False, None, None
    person.set_unusable_password()
    person.save()
    Token.objects.filter(user=person).delete()
    Presence.objects.filter(user=person).delete()
    LogEntry.objects.filter(user=person).delete()
    LogEntry.objects.filter(object_id=str(person.pk)).delete()


def _search_anew(production: Production) -> None:
    """Empty the index; the next search fills it, from what there is then."""
    SearchEntry.objects.filter(production=production).delete()
    SearchWord.objects.filter(production=production).delete()
    IndexedProduction.objects.filter(production=production).delete()
    SEARCH_FORGET.call(production)
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            # Or the words of deleted entries stay in the index until it is merged some day.
            cursor.execute("SELECT name FROM sqlite_master WHERE sql LIKE '%USING fts5%'")
            for (table,) in cursor.fetchall():
                cursor.execute(f'INSERT INTO "{table}" ("{table}") VALUES (\'optimize\')')  # noqa: S608


def _overwrite_what_goes() -> None:
    """SQLite leaves what was deleted in free pages otherwise."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA secure_delete = ON")


def _leave_no_old_pages() -> None:
    """Bring the log of SQLite into the database and empty it. PostgreSQL: docs/privacy.md."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
