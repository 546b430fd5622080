"""Write down what was heard, reword it, say how a change turned out, settle a note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core.models import Player, Section, Song, User
from core.moments import written
from notes.memos.prepare import PreparedMemo
from notes.memos.services import add_memo
from notes.models import EarlierWords, ListeningSession, Note, NoteMemo, ReasonLink
from notes.photos.services import add_photos
from rigs.models import Input, Revision, Rig, Unit
from rigs.photos.prepare import Prepared
from rigs.revisions.read import number_seen

UNSEEN = 5  # changes that are named
SCALARS = (
    "session",
    "song",
    "section",
    "take",
    "words",
    "said_by_player",
    "said_by_name",
    "reading",
    "verdict",
)


class NotEditable(ValidationError):
    """The note stays as it is: somebody else wrote it, or a change rests on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteContent:
    """What was heard, on what, and whose words it is. The words stay apart from the reading."""

    verdict: str
    words: str = ""
    said_by_player: Player | None = None
    said_by_name: str = ""
    reading: str = ""
    inputs: Sequence[Input] = field(default=())
    units: Sequence[Unit] = field(default=())
    song: Song | None = None
    section: Section | None = None
    take: str = ""
    session: ListeningSession | None = None
    # Photos are added with a new note; rewording leaves them as they are.
    photos: Sequence[Prepared] = field(default=())
    photo_caption: str = ""
    memo: PreparedMemo | None = None
    has_memo: bool = False  # of a note that is there already

    @property
    def is_spoken(self) -> bool:
        return self.memo is not None or self.has_memo


def check(rig: Rig, heard: NoteContent) -> None:
    """Raise ValidationError, by field, for what cannot be said about `rig`."""
    errors: dict[str, str] = {}
    if not (heard.is_spoken or heard.words.strip() or heard.reading.strip()) and not (
        heard.inputs or heard.units
    ):
        errors["words"] = _(
            "Say what was heard, in words or in a voice memo, or tick what the verdict is about: "
            "then words may be left out."
        )
    if heard.said_by_player and heard.said_by_name.strip():
        errors["said_by_name"] = _("Either a musician said it or somebody else; name one.")
    if heard.said_by_name.strip() and _is_reading_alone(heard):
        errors["said_by_name"] = _(
            "This names who said something, but there are no words of theirs."
        )
    if heard.section and heard.song and heard.section.song_id != heard.song.pk:
        errors["section"] = _("“{section}” is a section of “{song}”.").format(
            section=heard.section, song=heard.section.song
        )
    errors |= _foreign(rig, heard)
    if errors:
        raise ValidationError(errors)


def _is_reading_alone(heard: NoteContent) -> bool:
    """Whether only a reading was written, so that nobody is quoted.

    A verdict without any words is still that of whoever is named.
    """
    return bool(heard.reading.strip()) and not heard.words.strip() and not heard.is_spoken


def _foreign(rig: Rig, heard: NoteContent) -> dict[str, str]:
    """Errors, by field, for what belongs to another rig or another production."""
    place = rig.production_id
    here: dict[str, bool] = {
        "inputs": all(each.rig_id == rig.pk for each in heard.inputs),
        "units": all(each.rig_id == rig.pk for each in heard.units),
        "song": heard.song is None or heard.song.production_id == place,
        "section": heard.section is None or heard.section.song.production_id == place,
        "session": heard.session is None or heard.session.production_id == place,
        "said_by_player": (
            heard.said_by_player is None or heard.said_by_player.production_id == place
        ),
    }
    words = {"inputs": _("This rig has no such input."), "units": _("This rig has no such unit.")}
    return {
        name: words.get(name, _("This production has none such."))
        for name, is_here in here.items()
        if not is_here
    }


@transaction.atomic
def write_note(*, rig: Rig, heard: NoteContent, by: User) -> Note:
    """A new note on `rig` as it is now. Raises ValidationError."""
    return _write(rig, heard, by)


@transaction.atomic
def follow_up(*, revision: Revision, heard: NoteContent, outcome: str, by: User) -> Note:
    """A note that listens to a change and says how it turned out. Raises ValidationError."""
    if outcome not in Note.Outcome.values:
        raise ValidationError({"outcome": _("Say how it turned out.")})
    return _write(revision.rig, heard, by, follows=revision, outcome=outcome)


def changes_unseen(note: Note) -> list[Revision]:
    """Changes that its rig had had when `note` was written, but not on the page it was written on.

    The first few of them. No query for a note that was sent at once.
    """
    # Sent at once, or its moment was not believed: then nobody knows what its page lacked.
    if note.arrived_at is None or note.device_said is not None:
        return []
    revisions = Revision.objects.filter(rig=note.rig_id, number__gt=note.heard_at)
    return list(revisions.filter(at__lte=note.written_at).order_by("number")[:UNSEEN])


def _write(rig: Rig, heard: NoteContent, by: User, **more: Any) -> Note:
    check(rig, heard)
    # What its author saw, which may be older than the rig if the form waited on a device.
    seen = number_seen(rig, written().page_at)
    note = Note(production_id=rig.production_id, rig=rig, heard_at=seen, written_by=by, **more)
    note.stamp("written_at")
    _take_over(note, heard)
    note.save(force_insert=True)
    _point_at(note, heard)
    if heard.photos:
        add_photos(note, heard.photos, caption=heard.photo_caption, by=by)
    if heard.memo is not None:
        add_memo(note, heard.memo, by=by)
    return note


@transaction.atomic
def reword(*, note: Note, heard: NoteContent, by: User) -> Note:
    """Correct a note of one's own that nothing rests on yet. Raises NotEditable, ValidationError.

    A form checks the version before; see core.forms.base.EditForm.
    """
    check_editable(note, by)
    # By what is on file and not by what the form believed: with a memo, words may be left out.
    heard = replace(heard, has_memo=_has_memo(note))
    check(note.rig, heard)
    # From the table: the form has put the new words on `note` by now.
    before = Note.objects.only("words", "reading").get(pk=note.pk)
    _take_over(note, heard)
    _keep_earlier(before, note, by)
    note.version += 1
    # Only these columns, so that somebody who settles the note meanwhile is not overwritten.
    note.save(update_fields=[*SCALARS, "version"])
    _point_at(note, heard)
    return note


@transaction.atomic
def write_out(*, note: Note, words: str, by: User) -> Note:
    """Put what a voice memo says into words, also where a change rests on the note by now.

    Raises NotEditable, ValidationError.
    """
    check_may_write_out(note, by)
    if not words.strip():
        raise ValidationError({"words": _("Write down what the memo says.")})
    before = Note.objects.only("words", "reading").get(pk=note.pk)
    note.words = words.strip()
    note.full_clean(exclude=["production", "rig", "written_by", "follows"], validate_unique=False)
    _keep_earlier(before, note, by)
    note.version += 1
    note.save(update_fields=["words", "version"])
    return note


def check_may_write_out(note: Note, by: User) -> None:
    """Raise NotEditable unless `by` may put the memo of `note` into words. Inside a transaction,
    locks the note."""
    if note.written_by_id != by.pk:
        raise NotEditable(
            _("Only {written_by} can write out this memo.").format(written_by=note.written_by)
        )
    # A lock lasts for a transaction, and Django refuses to take one outside.
    if transaction.get_connection().in_atomic_block:
        Note.objects.select_for_update().get(pk=note.pk)
    if not _has_memo(note):
        raise NotEditable(_("This note has no voice memo."))
    if Note.objects.filter(pk=note.pk).exclude(words="").exists():
        raise NotEditable(_("This memo is written out already."))


def _has_memo(note: Note) -> bool:
    return NoteMemo.objects.filter(note=note).exists()


def _keep_earlier(before: Note, note: Note, by: User) -> None:
    """Store what the note said until now, if it says something else from now on."""
    if (before.words, before.reading) == (note.words, note.reading):
        return
    earlier = EarlierWords(note=note, words=before.words, reading=before.reading, changed_by=by)
    earlier.stamp("until")
    earlier.save(force_insert=True)


def check_editable(note: Note, by: User) -> None:
    """Raise NotEditable unless `by` may still reword `note`. Inside a transaction, locks it."""
    if note.written_by_id != by.pk:
        raise NotEditable(
            _("Only {written_by} can reword this note. Write one of your own beside it.").format(
                written_by=note.written_by
            )
        )
    if transaction.get_connection().in_atomic_block:
        Note.objects.select_for_update().get(pk=note.pk)
    link = ReasonLink.objects.filter(note=note).select_related("revision").first()
    if link is not None:
        raise NotEditable(
            _(
                "Change {number} was made because of this note, so its words stay as they "
                "are. Write a follow-up instead."
            ).format(number=link.revision.number)
        )


@transaction.atomic
def settle(*, note: Note, words: str, by: User) -> Note:
    """Settle `note` without a change, saying why. Raises ValidationError."""
    locked = Note.objects.select_for_update().get(pk=note.pk)
    if locked.settled_at is not None:
        raise ValidationError(
            {
                "settled_words": _("{settled_by} has just settled it: “{settled_words}”").format(
                    settled_by=locked.settled_by, settled_words=locked.settled_words
                )
            }
        )
    if not words.strip():
        raise ValidationError(
            {"settled_words": _("Say in a few words why nothing needs to change.")}
        )
    # Into columns of its own: `stamp` would replace when the note itself was written and arrived.
    moment = written()
    locked.settled_words, locked.settled_by = words.strip(), by
    locked.settled_at, locked.settled_arrived_at = moment.at, moment.arrived_at
    locked.save(update_fields=["settled_words", "settled_by", "settled_at", "settled_arrived_at"])
    return locked


def _take_over(note: Note, heard: NoteContent) -> None:
    for name in SCALARS:
        value = getattr(heard, name)
        setattr(note, name, value.strip() if isinstance(value, str) else value)
    # A section names its song, which nobody has to choose as well.
    if note.section is not None and note.song is None:
        note.song = note.section.song
    if _is_reading_alone(heard):
        note.said_by_player, note.said_by_name = None, ""
    note.full_clean(exclude=["production", "rig", "written_by", "follows"], validate_unique=False)


def _point_at(note: Note, heard: NoteContent) -> None:
    note.inputs.set(heard.inputs)
    note.units.set(heard.units)
