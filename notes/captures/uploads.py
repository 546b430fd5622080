"""Upload both tracks of one source at once: two files, or two channels of one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.utils.translation import gettext as _

from core.languages.words import told
from core.models import Production, Song, User
from notes.clips.formats import SoundError
from notes.clips.services import ClipRequest, check, fits_whole, make_clip
from notes.clips.survey import SILENT_DB
from notes.clips.uploads import on_disk, receive
from notes.models import Clip, Note, StoredSound
from rigs.models import Input, Rig

NAMES = ("first_file", "second_file")


def upload_both(
    *,
    rig: Rig,
    inputs: tuple[Input, Input],
    files: tuple[File[Any], File[Any] | None],
    by: User,
    take: str = "",
    song: Song | None = None,
    note: Note | None = None,
) -> tuple[Clip, Clip]:
    """Make two clips of whole tracks. Without a second file the first holds both, on channels 1 and
    2.

    Both sounds are read before anything is made of either. Raises ValidationError by field.
    """
    for entry in inputs:
        check(ClipRequest(rig=rig, input=entry, song=song, note=note))
    if inputs[0].pk == inputs[1].pk:
        raise ValidationError({"second_input": _("Take two different inputs.")})
    tracks = _tracks(list(_received(files, rig.production, by)))
    about: dict[str, Any] = {"rig": rig, "take": take, "song": song, "note": note, "by": by}
    one, other = (
        make_clip(sound, input=entry, left=channel, **about)
        for (sound, channel), entry in zip(tracks, inputs, strict=True)
    )
    return one, other


def _received(
    files: Iterable[File[Any] | None], production: Production, by: User
) -> Iterable[StoredSound]:
    for name, file in zip(NAMES, files, strict=True):
        if file is None:
            continue
        try:
            with on_disk(file=file) as path:
                yield receive(path, name=file.name or "", production=production, by=by)
        except SoundError as error:
            raise ValidationError({name: told(error.words)}) from None


def _tracks(sounds: list[StoredSound]) -> list[tuple[StoredSound, int]]:
    """Each track as a sound and its channel from 1. Raises ValidationError by field."""
    if len(sounds) == 1:
        if sounds[0].channels != 2:
            raise ValidationError(
                {"second_file": _("The first sound has not two channels: add the other track.")}
            )
        tracks = [(sounds[0], 1), (sounds[0], 2)]
    else:
        tracks = [(sound, 1) for sound in sounds]
    for name, (sound, channel) in zip(NAMES, tracks, strict=True):
        # Before anything is cut: a dead line would leave one clip without its counterpart.
        peak = sound.found["channels"][channel - 1]["peak_db"]
        if peak is None or peak <= SILENT_DB:
            raise ValidationError(
                {
                    name: _("Channel {channel} of “{sound}” is silent.").format(
                        channel=channel, sound=sound
                    )
                }
            )
    for name, sound in zip(NAMES, sounds, strict=False):
        if not fits_whole(sound):
            raise ValidationError(
                {
                    name: _(
                        "“{sound}” is too long, or has more than two channels: upload it as a "
                        "clip, and choose the part there."
                    ).format(sound=sound)
                }
            )
    return tracks
