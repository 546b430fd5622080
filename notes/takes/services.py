"""Bring a recording of a session, file by file; correct its index; cut clips from its takes.

Every change of an index locks its recording, so that takes never come to overlap.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from core.languages.words import leading, told
from core.models import Song, User
from notes.clips import decoder_process
from notes.clips.formats import SoundError
from notes.clips.services import make_clip, newest, recorded_at
from notes.clips.storage import SoundWriter, hash_of
from notes.clips.times import format_time
from notes.clips.uploads import row_of, save, too_large
from notes.models import Clip, ListeningSession, RecordedFile, Recording, StoredSound, Take
from notes.takes.index import make_index, name_songs, takes_of
from notes.takes.reading import hear_long
from rigs.models import Input, Revision

# Files that ran together end together, and begin together by their own clocks; recorders that are
# stopped one after the other do not.
APART_S = 2.0
SHORTEST_S = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """A file of a session. `together`: the recording that it ran together with; none begins one."""

    path: Path
    file_name: str
    session: ListeningSession
    together: Recording | None = None
    name: str = ""
    began_at: datetime | None = None


def bring(brought: Brought, *, by: User, most_bytes: int | None, within_s: float) -> Recording:
    """Store the file, and make the index of its recording anew.

    No transaction is open while the file is read, which takes about a second for each minute of
    32 channels. `most_bytes`: None for no limit. Raises ValidationError by field.
    """
    size = brought.path.stat().st_size
    try:
        if most_bytes is not None and size > most_bytes:
            raise SoundError(too_large(size))
        read, heard, levels = decoder_process.run(
            hear_long,
            brought.path,
            longest_s=settings.RECORDING_MAX_SECONDS,
            within_s=within_s,
            seconds=within_s,
        )
    except SoundError as error:
        raise ValidationError({"file": told(error.words)}) from None
    production, sha256 = brought.session.production, hash_of(brought.path)
    known = StoredSound.objects.filter(production=production, sha256=sha256).first()
    sound = known or row_of(
        brought.path,
        read,
        heard,
        name=brought.file_name,
        production=production,
        by=by,
        sha256=sha256,
    )
    if brought.together is not None:
        check_ran_together(brought.together, sound)
    with SoundWriter() as store:
        store.write(brought.path, sha256)
        with transaction.atomic():
            sound = save(sound)
            recording = _recording(brought, sound, by)
            RecordedFile.objects.create(
                recording=recording,
                sound=sound,
                position=recording.files.count() + 1,
                levels=levels,
            )
            make_index(recording)
    return recording


def _recording(brought: Brought, sound: StoredSound, by: User) -> Recording:
    """The recording, locked, that the file belongs to. Raises ValidationError."""
    if brought.together is not None:
        recording = lock(brought.together)
        if recording.files.filter(sound=sound).exists():
            raise ValidationError(
                {"file": _("“{recording}” has this file already.").format(recording=recording)}
            )
        # The shortest counts: a take lies inside every file.
        recording.seconds = min(recording.seconds, sound.seconds)
        recording.save(update_fields=["seconds"])
        return recording
    there = Recording.objects.filter(session=brought.session, files__sound=sound).first()
    if there is not None:
        raise ValidationError(
            {"file": _("This file is here already: “{there}”.").format(there=there)}
        )
    return Recording.objects.create(
        production=brought.session.production,
        session=brought.session,
        name=brought.name.strip() or sound.name.rsplit(".", 1)[0][:120] or "Recording",
        began_at=brought.began_at or recorded_at(sound, 0.0),
        seconds=sound.seconds,
        brought_by=by,
    )


def check_session(together: Recording | None, session: ListeningSession | None) -> None:
    """Raise ValidationError where the recording to join is not of that session."""
    if together is not None and session is not None and together.session_id != session.pk:
        raise ValidationError({"together": _("This recording is of another session.")})


def check_ran_together(recording: Recording, sound: StoredSound) -> None:
    """Raise ValidationError, in a sentence, for a file that did not run with the others."""
    if abs(recording.seconds - sound.seconds) > APART_S:
        raise ValidationError(
            {
                "file": _(
                    "It lasts {seconds}, and the others {others}: they did not run together. Put "
                    "it in as a recording of its own."
                ).format(seconds=format_time(sound.seconds), others=format_time(recording.seconds))
            }
        )
    began = recorded_at(sound, 0.0)
    if began and recording.began_at and abs(began - recording.began_at).total_seconds() > APART_S:
        raise ValidationError(
            {
                "file": _(
                    "By its recorder’s clock it began at {began}, and the others at {others}: "
                    "they did not run together. Put it in as a recording of its own."
                ).format(began=f"{began:%H:%M:%S}", others=f"{recording.began_at:%H:%M:%S}")
            }
        )


def lock(recording: Recording) -> Recording:
    """The recording, held until the transaction ends."""
    rows = Recording.objects.select_for_update(of=("self",))
    locked: Recording = rows.select_related("session__show__leg", "production").get(pk=recording.pk)
    return locked


def check_span(recording: Recording, starts: Decimal, ends: Decimal, but: Take | None) -> None:
    """Raise ValidationError, by field, unless a take may lie there. `but`: the take itself."""
    if starts >= recording.seconds:
        said = _("The recording lasts {seconds}.").format(seconds=format_time(recording.seconds))
        raise ValidationError({"starts_s": said})
    if ends > recording.seconds:
        said = _("The recording lasts {seconds}: write that for its end.").format(
            seconds=format_time(recording.seconds)
        )
        raise ValidationError({"ends_s": said})
    if ends - starts < SHORTEST_S:
        raise ValidationError({"ends_s": _("A take ends a second after it begins, at least.")})
    for other in takes_of(recording):
        if (but is None or other.pk != but.pk) and starts < other.ends_s and ends > other.starts_s:
            where = _("{start} to {end}").format(
                start=format_time(other.starts_s), end=format_time(other.ends_s)
            )
            field = "starts_s" if starts >= other.starts_s else "ends_s"
            raise ValidationError(
                {
                    field: _("This overlaps with “{other}” ({where}).").format(
                        other=other, where=where
                    )
                }
            )


@contextmanager
def _changing(take: Take) -> Iterator[tuple[Recording, Take]]:
    """The recording, locked, and the take as it is by then; songs are proposed anew at the end."""
    with transaction.atomic():
        recording = lock(take.recording)
        current = next((each for each in takes_of(recording) if each.pk == take.pk), None)
        if current is None:
            raise ValidationError(_("Somebody took this take out meanwhile."))
        yield recording, current
        changed(recording)


def changed(recording: Recording) -> None:
    """The index of a locked recording has changed: count it, and propose songs anew."""
    Recording.objects.filter(pk=recording.pk).update(version=F("version") + 1)
    name_songs(recording)


def split(take: Take, at_s: Decimal, *, by: User) -> Take:
    """Make two takes of one, and give the second. Raises ValidationError."""
    with _changing(take) as (_recording, first):
        if not first.starts_s + SHORTEST_S <= at_s <= first.ends_s - SHORTEST_S:
            raise ValidationError(
                _("Write a time inside it: from {starts_s} to {ends_s}.").format(
                    starts_s=format_time(first.starts_s), ends_s=format_time(first.ends_s)
                )
            )
        second = Take(recording=first.recording, starts_s=at_s, ends_s=first.ends_s, by=by)
        first.ends_s, first.by, first.version = at_s, by, first.version + 1
        first.save()
        second.save(force_insert=True)
        return second


def join(take: Take, *, by: User) -> Take:
    """Make one take of this one and the next, with the pause between. Raises ValidationError."""
    with _changing(take) as (recording, first):
        after = [each for each in takes_of(recording) if each.starts_s >= first.ends_s]
        if not after:
            raise ValidationError(_("No take follows this one."))
        after[0].delete()
        first.ends_s, first.by, first.version = after[0].ends_s, by, first.version + 1
        first.save()
        return first


def take_out(take: Take, *, version: int) -> None:
    """It was no take: talking, tuning, a cable. Raises ValidationError, also where it is not the
    `version` any more that was looked at."""
    with _changing(take) as (_recording, current):
        if current.version != version:
            raise ValidationError(
                _("Somebody else changed this take meanwhile: look at it again before it goes.")
            )
        current.delete()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A clip of a take: one channel of one of its files (from 1), from where to where in the take,
    s; without an end: to the end of the take."""

    input: Input
    sound: StoredSound
    channel: int
    from_s: Decimal = Decimal(0)
    to_s: Decimal | None = None


def cut_clip(take: Take, wanted: Wanted, *, by: User) -> Clip:
    """A clip of one channel of a take. Raises ValidationError by field."""
    recording = take.recording
    to_s = take.seconds if wanted.to_s is None else wanted.to_s
    if wanted.from_s >= take.seconds or to_s > take.seconds:
        said = _("The take lasts {seconds}.").format(seconds=format_time(take.seconds))
        raise ValidationError({"from_s" if wanted.from_s >= take.seconds else "to_s": said})
    if to_s <= wanted.from_s:
        raise ValidationError({"to_s": _("The part ends before it begins.")})
    if to_s - wanted.from_s > settings.CLIP_MAX_SECONDS:
        most = format_time(Decimal(settings.CLIP_MAX_SECONDS))
        raise ValidationError({"to_s": _("A clip may last {most} at most.").format(most=most)})
    starts = take.starts_s + wanted.from_s
    at = recording.began_at
    began = at + timedelta(seconds=float(starts)) if at is not None else None
    return make_clip(
        wanted.sound,
        by=by,
        rig=wanted.input.rig,
        input=wanted.input,
        revision=_stood_at(wanted.input, began),
        song=take.song,
        session=recording.session,
        title=leading(take, wanted.input.name)[:120],
        take=_words(take, wanted.from_s, to_s),
        left=wanted.channel,
        starts_s=starts,
        seconds=to_s - wanted.from_s,
        recorded_at=began,
    )


def _words(take: Take, from_s: Decimal, to_s: Decimal) -> str:
    """“Take 2, 1:12 to 1:40”, as notes say it."""
    name = f"Take {take.number}" if take.number else take.name or "Take"
    return f"{name}, {format_time(from_s)} to {format_time(to_s)}"[:120]


def _stood_at(input: Input, at: datetime | None) -> Revision:
    """The change that the rig stood at when it was recorded; the newest where nobody knows."""
    found = None
    if at is not None:
        before = Revision.objects.filter(rig=input.rig_id, at__lte=at)
        found = before.order_by("-number").first()
    return found or newest(input.rig)


def say_song(take: Take, song: Song | None) -> None:
    """What a person says of a take stays when songs are proposed anew. Not saved."""
    take.song = song
    take.song_from = Take.SongFrom.PERSON
