"""What a hire firm offered by its link, and nobody of the crew replied to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.timezone import localdate
from django.utils.translation import ngettext

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.composed import Composed, Several, column
from core.models import Production, Show, User
from core.places import ToDo
from core.services.to_dos import of_shows
from rigs.models import BacklineAnswer, BacklineChange


def to_reply(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What guests answered to a specification, until it is accepted, refused or there, and no later
    than the show: by production, a line for each show. One query for any number of productions;
    none without a role that may reply."""
    places = [m.production.pk for m in members if allowed(m.roles, Action.ANSWER_BACKLINE)]
    if not places:
        return {}
    shows = [row.show for row in _answered(localdate(), places)]
    return of_shows(shows, _offers, "rigs:show_backline", "truck")


def _open_from(day: date, places: Sequence[UUID]) -> QuerySet[BacklineAnswer]:
    # Without an account: what the crew typed in itself, it has seen.
    by_guests = BacklineChange.objects.filter(line=OuterRef("line"), show=OuterRef("show"), by=None)
    answered = BacklineAnswer.objects.filter(
        Exists(by_guests),
        reply=BacklineAnswer.Reply.OPEN,
        came="",
        came_count=None,
        line__retired_at=None,
        show__retired_at=None,
        show__held_on__gte=day,
        show__leg__retired_at=None,
        show__leg__production__pk__among=places,
    ).exclude(offered="", notes="")
    return answered.select_related("show__leg")


_answered = Composed(_open_from, column(Show, "held_on"), Several(column(Production)))


def _offers(n: int, show: Show) -> str:
    return ngettext(
        "{n} offer for the backline waits for your reply, {show}",
        "{n} offers for the backline wait for your reply, {show}",
        n,
    ).format(n=n, show=show)
