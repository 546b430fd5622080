"""What notes gives to the installed app: forms for what a telephone shared, and shortcuts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from uuid import UUID

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.languages.words import leading
from core.models import Show
from core.places import Shortcut, Taker, Takers, Way
from rigs.models import Rig

STILL_LAST_NIGHT = timedelta(hours=6)  # a show may end after midnight; core/js/kept.js has it, too


def takers(members: Sequence[Member]) -> dict[UUID, list[Takers]]:
    """The forms about each rig in use that its reader may send. One query."""
    of: dict[UUID, list[Takers]] = {member.production.pk: [] for member in members}
    roles = {member.production.pk: member.roles for member in members}
    rigs = Rig.objects.filter(production__in=of, retired=False).select_related("player")
    for rig in rigs.order_by("player__position", "name", "pk"):
        if forms := _forms(rig, roles[rig.production_id]):
            of[rig.production_id].append(Takers(leading(rig.player, rig), forms))
    return of


def _forms(rig: Rig, roles: frozenset[str]) -> list[Taker]:
    args, forms = [rig.production_id, rig.pk], []
    if allowed(roles, Action.WRITE_NOTE):
        url = reverse("notes:note_new", args=args)
        forms.append(Taker(_("Note"), "notebook-pen", url, "photos", "memo", "words"))
    if allowed(roles, Action.EDIT_RIG):
        url = reverse("rigs:photo_new", args=args)
        forms.append(Taker(_("Photos"), "camera", url, picture="photos", words="caption"))
    if allowed(roles, Action.WRITE_NOTE):
        url = reverse("notes:clip_new", args=args)
        forms.append(Taker(_("Clip"), "audio-lines", url, sound="file", words="title"))
    return forms


def note() -> Shortcut:
    return Shortcut(
        "note",
        gettext_lazy("Write a note"),
        _to_write,
        gettext_lazy("You are in no production in which you write notes."),
    )


def _to_write(members: Sequence[Member]) -> list[Way]:
    return [
        Way(str(member.production), reverse("notes:note_start", args=[member.production.pk]))
        for member in members
        if allowed(member.roles, Action.WRITE_NOTE)
    ]


def next_show() -> Shortcut:
    return Shortcut(
        "show",
        gettext_lazy("Next show"),
        _to_next_shows,
        gettext_lazy("No show is still to come in your productions."),
    )


def _to_next_shows(members: Sequence[Member]) -> list[Way]:
    """The shows of the next day that has any: to the line check, or to the set. One query."""
    of = {member.production.pk: member for member in members}
    today = timezone.localdate(clock.now() - STILL_LAST_NIGHT)
    coming = Show.objects.filter(
        leg__production__in=of, leg__retired_at=None, retired_at=None, held_on__gte=today
    )
    shows = list(coming.select_related("leg__production").order_by("held_on", "pk")[:20])
    return [
        Way(leading(show.leg.production, show), _page_of(show, of[show.leg.production_id]))
        for show in shows
        if show.held_on == shows[0].held_on
    ]


def _page_of(show: Show, member: Member) -> str:
    name = "notes:line_check" if allowed(member.roles, Action.LINE_CHECK) else "core:show_set"
    return reverse(name, args=[member.production.pk, show.pk])
