"""What a device keeps with a handover, so that it can be read and written in without a network."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.urls import reverse

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.clock import now
from core.models import Leg
from core.offline.keeping import Keeping
from notes.models import Clip, Note
from notes.states import State, unsettled
from rigs.models import Input, Photo, Rig, Unit
from rigs.shows.rigs import played_at

LEFT_OUT = [
    "Lists, recall sheets and everything else that is printed or downloaded.",
    "Histories, comparisons, trials, the catalogue of devices, songs, the tour and people.",
    "Sound in full: clips are kept as previews, the newest until they fill 20 MB.",
    "Search, and what is worked out on the spot.",
    "What others write after the time of keeping.",
]
A_DAY = timedelta(days=1)  # a show may end after midnight, and midnight is not the same everywhere
SHOWS = 3
SOUND_BYTES = 20_000_000  # a telephone's browser may hold on to little


def keeping(member: Member, leg: Leg, page: str, title: str, more: Iterable[str] = ()) -> Keeping:
    """The page and `more` like it, the rigs of players in use, their photos, the next shows, and
    the forms the member may fill in. A fixed number of queries, whatever there is."""
    place = member.production.pk
    rigs = list(
        Rig.objects.filter(production=place, retired=False, player__retired_at=None)
        .order_by("player__position", "pk")
        .values_list("pk", flat=True)
    )
    inputs = list(
        Input.objects.filter(rig__in=rigs, retired=False)
        .order_by("rig", "position", "pk")
        .values_list("rig", "pk")
    )
    photo_pages, photos = _photos(place, rigs)
    pages = [
        *more,
        reverse("core:production", args=[place]),
        reverse("notes:handovers", args=[place]),
        reverse("rigs:index", args=[place]),
        *(_at("rigs:rig", place, rig) for rig in rigs),
        *photo_pages,
        *(_at("rigs:input", place, rig, pk) for rig, pk in inputs),
        *_units(member, rigs),
        *_forms(member, rigs),
        *_line_checks(member, leg, inputs),
    ]
    return Keeping(title, page, pages, [*photos, *_sounds(place, rigs)], LEFT_OUT)


def _at(name: str, place: UUID, *more: Any) -> str:
    return reverse(name, args=[place, *more])


def _units(member: Member, rigs: list[UUID]) -> Iterable[str]:
    """Pages with the form of a unit's settings. Others see the settings on the page of the rig."""
    if not allowed(member.roles, Action.EDIT_RIG):
        return
    units = Unit.objects.filter(rig__in=rigs, retired=False).order_by("rig", "position", "pk")
    for rig, pk in units.values_list("rig", "pk"):
        yield _at("rigs:unit", member.production.pk, rig, pk)


def _line_checks(member: Member, leg: Leg, inputs: list[tuple[UUID, UUID]]) -> Iterable[str]:
    """Of the next shows, with their run sheets; of the very next also the form of each input, the
    end of the line check, and which rigs play. `inputs` are ids of rigs and inputs."""
    place = member.production.pk
    shows = leg.shows.filter(retired_at=None, held_on__gte=now().date() - A_DAY)
    coming = list(shows.select_related("leg").order_by("held_on", "pk")[:SHOWS])
    for show in coming:
        yield _at("notes:line_check", place, show.pk)
        yield f"{_at('rigs:run_sheet', place)}?show={show.pk}"
    if coming and allowed(member.roles, Action.LINE_CHECK):
        following = coming[0]
        played = played_at([following])[following.pk]
        yield _at("notes:line_check_finish", place, following.pk)
        yield _at("rigs:show_rigs", place, following.pk)
        for rig, pk in inputs:
            if rig in played:
                yield _at("notes:line_check_input", place, following.pk, pk)


def _forms(member: Member, rigs: list[UUID]) -> Iterable[str]:
    """The form of a note for each rig, and for each change that wants to be listened to again."""
    if not allowed(member.roles, Action.WRITE_NOTE):
        return
    place = member.production.pk
    for rig in rigs:
        yield _at("notes:note_new", place, rig)
    waiting: Any = unsettled(Note.objects.filter(rig__in=rigs)).order_by("-written_at", "pk")
    for pk, state, number in waiting.values_list("pk", "state", "led_to_number"):
        yield _at("notes:note", place, pk)
        if state == State.LED_TO_CHANGE:
            yield _at("notes:note_follow", place, pk, number)


def _photos(place: UUID, rigs: list[UUID]) -> tuple[list[str], list[str]]:
    """The pages of photos, and the photos in full, which stand on those pages."""
    photos = Photo.objects.filter(rig__in=rigs, retired=False).order_by("rig", "pk")
    rows = list(photos.values_list("rig", "pk", "image"))
    files = [f"{_at('rigs:photo_file', place, rig, pk)}?v={image}" for rig, pk, image in rows]
    return [_at("rigs:photo", place, rig, pk) for rig, pk, _ in rows], files


def _sounds(place: UUID, rigs: list[UUID]) -> Iterable[str]:
    """Previews of clips, the newest first, as many as there is room for."""
    clips = Clip.objects.live().filter(rig__in=rigs).order_by("-brought_at", "pk")
    left = SOUND_BYTES
    for pk, size in clips.values_list("pk", "preview_bytes"):
        left -= size
        if left < 0:
            return
        yield _at("notes:clip_sound", place, pk, "preview")
