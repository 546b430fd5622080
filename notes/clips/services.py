"""Upload a clip: a sound, the part of it that is wanted, and what it records.

`upload_clip` does it in one step; `make_clip` is its second half, for a sound received before.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from core.languages.words import number, told
from core.models import Section, Song, User
from core.stored_files import StoredFileUnreadable
from notes.clips import decoder_process
from notes.clips.cut import SHORTEST_S, Cut, gain_for
from notes.clips.cut import CutSection as Part
from notes.clips.decoder_jobs import cut_part
from notes.clips.formats import SoundError
from notes.clips.measure import METHOD
from notes.clips.storage import SoundWriter
from notes.clips.survey import SILENT_DB
from notes.clips.uploads import on_disk, save, sound_of, stored_on_disk
from notes.models import Clip, ListeningSession, Note, StoredSound
from rigs.models import Input, Revision, Rig


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipRequest:
    """What a clip is of. `left` and `right` are channels from 1; no `revision`: the newest;
    no `seconds`: to the end."""

    rig: Rig
    input: Input
    revision: Revision | None = None
    song: Song | None = None
    section: Section | None = None
    session: ListeningSession | None = None
    note: Note | None = None
    take: str = ""
    words: str = ""
    title: str = ""
    left: int = 1
    right: int | None = None
    starts_s: Decimal | float = field(default=Decimal(0))
    seconds: Decimal | float | None = None
    recorded_at: datetime | None = None
    silent_ok: bool = False


def upload_clip(
    *, data: bytes | None = None, file: File[Any] | None = None, name: str, by: User, **fields: Any
) -> Clip:
    """A clip from the bytes `data` or the upload `file`; `fields` are those of ClipRequest.

    The same part of the same sound for the same input is there once: see Clip.was_there.

    Raises ValidationError by field (“file” for the sound itself); then nothing is kept.
    """
    asked = ClipRequest(**fields)
    # Before the sound is read, which takes seconds.
    check(asked)
    with on_disk(data, file) as path:
        try:
            sound = sound_of(path, name=name, production=asked.rig.production, by=by)
        except SoundError as error:
            raise ValidationError({"file": told(error.words)}) from None
        return _make(sound, path, asked, by)


def make_clip(sound: StoredSound, *, by: User, **fields: Any) -> Clip:
    """A clip from a sound received before, as `upload_clip`. Raises ValidationError by field."""
    asked = ClipRequest(**fields)
    check(asked)
    try:
        with stored_on_disk(sound) as path:
            return _make(sound, path, asked, by, is_stored=True)
    except StoredFileUnreadable as error:
        raise ValidationError({"file": _("{why} Upload it again.").format(why=error)}) from None


def _make(
    sound: StoredSound, path: Path, clip_request: ClipRequest, by: User, *, is_stored: bool = False
) -> Clip:
    """Cut the part, which takes seconds, then store files, then all rows in one transaction."""
    part = _part(sound, clip_request)
    # Before the cut, which takes seconds; asked again below, where nobody else can write.
    if there := _there(sound, clip_request, part.start, part.frames):
        return there
    with tempfile.TemporaryDirectory(prefix="clip-") as folder, SoundWriter() as store:
        working, preview = Path(folder) / "working.flac", Path(folder) / "preview.m4a"
        try:
            within_s = settings.CLIP_WORK_SECONDS
            made = decoder_process.run(
                cut_part,
                path,
                part,
                working=working,
                preview=preview,
                within_s=within_s,
                silent_ok=clip_request.silent_ok,
                seconds=within_s,
            )
        except SoundError as error:
            raise ValidationError({"file": told(error.words)}) from None
        if not is_stored:
            store.write(path)
        files = [store.write(each) for each in (working, preview)]
        with transaction.atomic():
            sound = save(sound)
            StoredSound.objects.select_for_update().get(pk=sound.pk)  # the same at once waits here
            if there := _there(sound, clip_request, part.start, made.frames):
                return there
            clip = _row(sound, clip_request, part, made)
            ((clip.working, clip.working_bytes), (clip.preview, clip.preview_bytes)) = files
            clip.brought_by = by
            clip.full_clean(exclude=["figures"])
            clip.save(force_insert=True)
    return clip


def _there(sound: StoredSound, clip_request: ClipRequest, start: int, frames: int) -> Clip | None:
    """The clip of that part of `sound` that the input has already; frames count from the start."""
    if sound._state.adding:
        return None
    clips = Clip.objects.live().filter(
        sound=sound,
        input=clip_request.input,
        left=clip_request.left,
        right=clip_request.right,
        starts_s=_rounded(Decimal(start) / sound.rate_hz),
        seconds=_rounded(Decimal(frames) / sound.rate_hz),
    )
    clip = clips.order_by("brought_at").first()
    if clip is not None:
        clip.was_there = True
    return clip


def _row(sound: StoredSound, clip_request: ClipRequest, part: Part, made: Cut) -> Clip:
    starts = Decimal(part.start) / sound.rate_hz
    return Clip(
        production=clip_request.rig.production,
        sound=sound,
        rig=clip_request.rig,
        input=clip_request.input,
        revision=clip_request.revision or newest(clip_request.rig),
        song=_song(clip_request),
        section=clip_request.section,
        session=clip_request.session,
        note=clip_request.note,
        name=clip_request.title.strip() or name_for(sound),
        take=clip_request.take,
        words=clip_request.words,
        left=clip_request.left,
        right=clip_request.right,
        starts_s=_rounded(starts),
        seconds=_rounded(Decimal(made.frames) / sound.rate_hz),
        recorded_at=clip_request.recorded_at or recorded_at(sound, float(starts)),
        gain_db=part.gain_db,
        method=METHOD,
        figures=made.figures,
    )


def check(clip_request: ClipRequest) -> None:
    """Raise ValidationError, by field, for what does not belong together."""
    rig, errors = clip_request.rig, {}
    if clip_request.input.rig_id != rig.pk:
        errors["input"] = _("This rig has no such input.")
    if clip_request.revision and clip_request.revision.rig_id != rig.pk:
        errors["revision"] = _("This rig has no such change.")
    if clip_request.note and clip_request.note.rig_id != rig.pk:
        errors["note"] = _("This note is about another rig.")
    for name in ("song", "session"):
        side = getattr(clip_request, name)
        if side and side.production_id != rig.production_id:
            errors[name] = _("This production has none such.")
    section, song = clip_request.section, clip_request.song
    if section and section.song.production_id != rig.production_id:
        errors["section"] = _("This production has none such.")
    elif section and song and section.song_id != song.pk:
        errors["section"] = _("“{section}” is a section of “{song}”.").format(
            section=section, song=section.song
        )
    if errors:
        raise ValidationError(errors)


def _song(clip_request: ClipRequest) -> Song | None:
    """The song of a clip: the one that was named, or that of its section."""
    return clip_request.song or (clip_request.section.song if clip_request.section else None)


def _part(sound: StoredSound, clip_request: ClipRequest) -> Part:
    """The frames and channels that are asked for. Raises ValidationError by field."""
    errors: dict[str, str] = {}
    for name, channel in (("left", clip_request.left), ("right", clip_request.right)):
        if channel is not None and not 1 <= channel <= sound.channels:
            errors[name] = _("The sound has channels 1 to {channels}.").format(
                channels=sound.channels
            )
    if clip_request.right == clip_request.left:
        errors["right"] = _("This is the first channel again. Leave it empty for one channel.")
    rate, frames = sound.rate_hz, int(sound.found["frames"])
    start = round(Decimal(clip_request.starts_s) * rate)
    length = (
        frames - start
        if clip_request.seconds is None
        else round(Decimal(clip_request.seconds) * rate)
    )
    if not 0 <= start < frames:
        errors["starts_s"] = _("The sound lasts {lasts} s.").format(lasts=number(frames / rate, 2))
    elif length <= 0:
        errors["seconds"] = _("The section ends before it begins.")
    elif min(length, frames - start) > settings.CLIP_MAX_SECONDS * rate:
        errors["seconds"] = _(
            "A clip may last {most} s at most. Choose a section of the sound."
        ).format(most=settings.CLIP_MAX_SECONDS)
    if errors:
        raise ValidationError(errors)
    chosen = tuple(n - 1 for n in (clip_request.left, clip_request.right) if n is not None)
    gain = gain_for([sound.found["channels"][n]["peak_db"] for n in chosen])
    return Part(chosen, start, min(length, frames - start), gain)


def fits_whole(sound: StoredSound) -> bool:
    """Whether all of a sound can be a clip: one or two channels, all with something on them, and no
    longer than a clip may be."""
    heard = [each["peak_db"] for each in sound.found["channels"]]
    return (
        sound.channels <= 2
        and SHORTEST_S <= sound.seconds <= settings.CLIP_MAX_SECONDS
        and all(peak is not None and peak > SILENT_DB for peak in heard)
    )


def newest(rig: Rig) -> Revision:
    return Revision.objects.filter(rig=rig).latest("number")


def name_for(sound: StoredSound) -> str:
    """What the recorder called it, or the file's name without its ending."""
    described = str(sound.said.get("description") or "").splitlines()
    return (described[0] if described else sound.name.rsplit(".", 1)[0])[:120] or "Clip"


def recorded_at(sound: StoredSound, starts_s: float) -> datetime | None:
    """When the section was recorded, by the recorder's clock in the zone of this server."""
    try:
        at = datetime.fromisoformat(sound.said["originated_at"])
    except (KeyError, ValueError):
        return None
    try:
        # A recorder writes no time zone, so that of the server is taken.
        return timezone.make_aware(at) + timedelta(seconds=starts_s)
    except (ValueError, OverflowError):
        return None


# To what the columns hold, or a part that is there would not be found again.
def _rounded(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.0001"))
