"""What a device stores with a handover, to read it and write in it without a network."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db.models import Case, Exists, OuterRef, Q, Value, When
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy, pgettext

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.clock import now
from core.languages.words import leading
from core.models import Leg, Show
from core.offline.pages import PageGroup, PageLink, StoredPages
from core.stored_files import removed_from
from notes.models import (
    AlternativeClip,
    ChangeClip,
    Clip,
    Note,
    NoteMemo,
    NotePhoto,
    RecordedFile,
    SignOff,
)
from notes.states import NoteState, unsettled
from rigs.knob_check.references import references_of
from rigs.lists.cases import case_address
from rigs.models import Input, Photo, Rig, Unit
from rigs.overview.parts import addresses
from rigs.shows.rigs import played_at

# Shown with what is stored, so that nobody counts on the rest.
LEFT_OUT = (
    gettext_lazy("Recall sheets, labels and everything else that is printed or downloaded."),
    gettext_lazy(
        "Histories, comparisons, trials, the catalogue of microphones and DIs, songs and people."
    ),
    gettext_lazy(
        "Sound in full: clips are stored as previews, signed ones and evidence first, up to 20 MB."
    ),
    gettext_lazy(
        "Recordings of whole sessions, and what was cut from them unless something here names it."
    ),
    gettext_lazy("Search and what-if."),
    gettext_lazy("What others write after it was stored."),
)
A_DAY = timedelta(days=1)  # a show may end after midnight, and midnight is not the same everywhere
SHOWS = 3
SOUND_BYTES = 20_000_000  # of the list's whole budget


def stored_pages(
    member: Member, leg: Leg, page: str, title: str, more: Iterable[PageLink] = ()
) -> StoredPages:
    """The page and `more` like it, the next shows with their lists, the rigs of players in use,
    their photos, and the forms the member may fill in. A fixed number of queries, whatever there
    is."""
    place = member.production.pk
    live_rigs = list(
        Rig.objects.filter(production=place, retired=False, player__retired_at=None)
        .select_related("player")
        .order_by("player__position", "pk")
    )
    rigs = [rig.pk for rig in live_rigs]
    inputs = list(
        Input.objects.filter(rig__in=rigs, retired=False)
        .order_by("rig", "position", "pk")
        .values_list("rig", "pk")
    )
    coming = _coming(leg)
    photo_pages, photos = _photos(place, rigs)
    contents = [
        *(_show(member, show) for show in coming),
        PageGroup(str(leg), [*more, *_tour(member, leg)]),
        PageGroup(
            gettext("Rigs"),
            [PageLink(_at("rigs:rig", place, r.pk), leading(r.player, r)) for r in live_rigs],
        ),
        *_lists(member),
    ]
    pages = [
        *(part for rig in rigs for part in addresses(place, rig).values()),
        *_forms(member, rigs),
        *_open_notes(member, rigs),
        *_line_check_forms(member, coming, inputs),
        *_panel_forms(member, coming, rigs),
        *_dep_forms(member, coming),
        *_plans(member, coming),
        *(_at("rigs:input", place, rig, pk) for rig, pk in inputs),
        *_units(member, rigs),
        *photo_pages,
    ]
    files = [*photos, *_note_photos(place, rigs), *_memos(place, rigs), *_sounds(place, rigs)]
    return StoredPages(
        title,
        page,
        [each for each in contents if each.links],
        pages,
        files,
        [str(words) for words in LEFT_OUT],
    )


def _coming(leg: Leg) -> list[Show]:
    shows = leg.shows.filter(retired_at=None, held_on__gte=now().date() - A_DAY)
    return list(shows.select_related("leg").order_by("held_on", "pk")[:SHOWS])


def _show(member: Member, show: Show) -> PageGroup:
    """What one opens at a show, in the order of the day."""
    place = member.production.pk
    links = [
        PageLink(_at("notes:line_check", place, show.pk), gettext("Line check")),
        PageLink(_at("notes:show_mixes", place, show.pk), gettext("Monitor mixes")),
        PageLink(_at("core:show_set", place, show.pk), pgettext("songs of a show", "Set")),
        PageLink(f"{_at('rigs:run_sheet', place)}?show={show.pk}", gettext("Run sheet")),
        PageLink(_at("rigs:changeover", place, show.pk), gettext("Changeover")),
        PageLink(_at("rigs:show_players", place, show.pk), gettext("Who plays")),
        PageLink(_at("rigs:show_gear", place, show.pk), gettext("Gear")),
        PageLink(_at("rigs:show_panels", place, show.pk), gettext("Panels against photos")),
    ]
    if _handles_lists(member):
        links += [
            PageLink(_at("rigs:show_inputs", place, show.pk), gettext("Input list")),
            PageLink(_at("rigs:show_pack", place, show.pk), gettext("Pack list")),
            PageLink(_at("rigs:show_patch", place, show.pk), gettext("Patch")),
            PageLink(_at("rigs:show_plot", place, show.pk), gettext("Stage plot")),
            PageLink(_at("rigs:show_mains", place, show.pk), gettext("Mains")),
        ]
    return PageGroup(str(show), links, show.held_on)


def _tour(member: Member, leg: Leg) -> Iterable[PageLink]:
    place = member.production.pk
    yield PageLink(_at("core:leg", place, leg.pk), gettext("Leg"))
    yield PageLink(_at("core:tour", place), gettext("Tour"))
    yield PageLink(_at("core:production", place), gettext("Front page"))
    yield PageLink(_at("notes:handovers", place), gettext("All handovers"))
    yield PageLink(_at("rigs:index", place), gettext("All rigs"))


def _handles_lists(member: Member) -> bool:
    """Whoever sets up, packs or hires."""
    return any(allowed(member.roles, a) for a in (Action.LINE_CHECK, Action.EDIT_TOUR))


def _lists(member: Member) -> Iterable[PageGroup]:
    place = member.production.pk
    if _handles_lists(member):
        links = [PageLink(_at("rigs:input_list", place), gettext("Input list"))]
        links.append(PageLink(_at("rigs:pack_list", place), gettext("Pack list")))
        links.append(PageLink(_at("rigs:patch", place), gettext("Patch")))
        links.append(PageLink(_at("rigs:plot", place), gettext("Stage plot")))
        if allowed(member.roles, Action.EDIT_RIG):
            links.append(PageLink(_at("rigs:upkeep", place), gettext("Upkeep")))
        yield PageGroup(gettext("Lists"), links)


def _at(name: str, place: UUID, *more: Any) -> str:
    return reverse(name, args=[place, *more])


def _units(member: Member, rigs: list[UUID]) -> Iterable[str]:
    """Pages of units and cases, which their labels lead to, for whoever handles them; with the
    form of their settings for whoever may set them. Others see the settings on the page of the
    rig."""
    if not any(allowed(member.roles, a) for a in (Action.EDIT_RIG, Action.LINE_CHECK)):
        return
    place = member.production.pk
    units = Unit.objects.filter(rig__in=rigs, retired=False).order_by("rig", "position", "pk")
    # A dict for its order: each case once, in the order of its first unit.
    cases: dict[str, None] = {}
    for rig, pk, packed_in in units.values_list("rig", "pk", "packed_in"):
        yield _at("rigs:unit", place, rig, pk)
        cases.setdefault(packed_in.strip())
    for name in filter(None, cases):
        yield case_address(place, name)


def _line_check_forms(
    member: Member, coming: list[Show], inputs: list[tuple[UUID, UUID]]
) -> Iterable[str]:
    """Addresses of the forms of the very next show: one for each input, the end of the line check,
    which rigs play, its patch, and what differs of each unit. `inputs` are ids of rigs and
    inputs."""
    if not coming or not allowed(member.roles, Action.LINE_CHECK):
        return
    place, following = member.production.pk, coming[0]
    played = played_at([following])[following.pk]
    yield _at("notes:line_check_finish", place, following.pk)
    yield _at("rigs:show_rigs", place, following.pk)
    yield _at("rigs:show_patch_fill", place, following.pk)
    yield _at("rigs:show_lent_new", place, following.pk)
    units = Unit.objects.filter(rig__in=played, retired=False).order_by("rig", "position", "pk")
    for unit in units.values_list("pk", flat=True):
        yield _at("rigs:unit_set_tonight", place, following.pk, unit)
        yield _at("rigs:unit_replaced_tonight", place, following.pk, unit)
    for rig, pk in inputs:
        if rig in played:
            yield _at("notes:line_check_input", place, following.pk, pk)


def _panel_forms(member: Member, coming: list[Show], rigs: list[UUID]) -> Iterable[str]:
    """The form for photos of now of each panel, as it is opened from the rig and from the very next
    show. Three queries."""
    if not allowed(member.roles, Action.LINE_CHECK):
        return
    place = member.production.pk
    for reference in references_of(rigs):
        form = _at("rigs:knob_check", place, reference.photo.rig_id, reference.photo.pk)
        yield form
        if coming:
            yield f"{form}?show={coming[0].pk}"


def _dep_forms(member: Member, coming: list[Show]) -> Iterable[str]:
    """The forms of who plays for whom at the very next show. One query."""
    if coming and allowed(member.roles, Action.CHOOSE_DEP):
        for pk in member.production.players.filter(retired_at=None).values_list("pk", flat=True):
            yield _at("rigs:show_dep", member.production.pk, coming[0].pk, pk)


def _plans(member: Member, coming: list[Show]) -> Iterable[str]:
    """The form of the plan of the very next changeover."""
    if coming and allowed(member.roles, Action.EDIT_CHANGEOVER):
        yield _at("rigs:changeover_plan", member.production.pk, coming[0].pk)


def _forms(member: Member, rigs: list[UUID]) -> Iterable[str]:
    """The forms of a note, of photos and of a clip, for each rig, and what leads to those of
    notes."""
    place = member.production.pk
    if allowed(member.roles, Action.WRITE_NOTE):
        yield _at("notes:note_start", place)
    for rig in rigs:
        if allowed(member.roles, Action.WRITE_NOTE):
            yield _at("notes:note_new", place, rig)
            yield _at("notes:clip_new", place, rig)
        if allowed(member.roles, Action.EDIT_RIG):
            yield _at("rigs:photo_new", place, rig)


def _open_notes(member: Member, rigs: list[UUID]) -> Iterable[str]:
    """The notes that are still open, with all their photos, and the form for each change that wants
    to be listened to again."""
    place = member.production.pk
    waiting: Any = unsettled(Note.objects.filter(rig__in=rigs)).order_by("-written_at", "pk")
    may_write = allowed(member.roles, Action.WRITE_NOTE)
    for pk, state, number in waiting.values_list("pk", "state", "led_to_number"):
        yield _at("notes:note", place, pk)
        if may_write and state == NoteState.LED_TO_CHANGE:
            yield _at("notes:note_follow", place, pk, number)


def _photos(place: UUID, rigs: list[UUID]) -> tuple[list[str], list[str]]:
    """The pages of photos, and the photos in full, which stand on those pages."""
    photos = Photo.objects.filter(rig__in=rigs, retired=False).order_by("rig", "pk")
    rows = list(photos.values_list("rig", "pk", "image", "image__sha256"))
    gone = set(removed_from(place))
    files = [
        f"{_at('rigs:photo_file', place, rig, pk)}?v={image}"
        for rig, pk, image, sha256 in rows
        if sha256 not in gone
    ]
    return [_at("rigs:photo", place, rig, pk) for rig, pk, *_ in rows], files


def _note_photos(place: UUID, rigs: list[UUID]) -> Iterable[str]:
    """Addresses of photos in full, of notes that are still open; the small ones stand on the
    pages."""
    waiting = unsettled(Note.objects.filter(rig__in=rigs)).values("pk")
    photos = NotePhoto.objects.shown().filter(note__in=waiting).order_by("-added_at", "pk")
    photos = photos.exclude(image__sha256__in=removed_from(place))
    for pk in photos.values_list("pk", flat=True):
        yield _at("notes:note_photo_file", place, pk)


def _memos(place: UUID, rigs: list[UUID]) -> Iterable[str]:
    """Voice memos of notes that are still open, the newest first."""
    waiting = unsettled(Note.objects.filter(rig__in=rigs)).values("pk")
    memos = NoteMemo.objects.filter(note__in=waiting).order_by("-note__written_at", "pk")
    memos = memos.exclude(preview__in=removed_from(place))
    left = SOUND_BYTES
    for pk, size in memos.values_list("pk", "preview_bytes"):
        left -= size
        if left < 0:
            return
        yield _at("notes:note_memo_sound", place, pk)


def _sounds(place: UUID, rigs: list[UUID]) -> Iterable[str]:
    """Previews of clips as many as there is room for: those that the pages name, which are signed
    or stand for an open note, a change or a trial, then the others, each the newest first. Of what
    was cut from recordings of whole sessions the named ones only."""
    waiting = unsettled(Note.objects.filter(rig__in=rigs)).values("pk")
    named = (
        Q(note__in=waiting)
        | Exists(SignOff.objects.filter(clip=OuterRef("pk")))
        | Exists(ChangeClip.objects.filter(clip=OuterRef("pk")))
        | Exists(AlternativeClip.objects.filter(clip=OuterRef("pk")))
    )
    of_whole = Exists(RecordedFile.objects.filter(sound=OuterRef("sound")))
    clips = (
        Clip.objects.live()
        .filter(rig__in=rigs)
        .annotate(named=Case(When(named, then=Value(1)), default=Value(0)))
        .filter(Q(named=1) | ~of_whole)
        .exclude(preview__in=removed_from(place))
        .order_by("-named", "-brought_at", "pk")
    )
    left = SOUND_BYTES
    for pk, size in clips.values_list("pk", "preview_bytes"):
        left -= size
        if left < 0:
            return
        yield _at("notes:clip_sound", place, pk, "preview")
