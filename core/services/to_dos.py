"""What waits for somebody: gathered from every app, and what core itself knows of."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.db.models import Count, Q
from django.urls import reverse
from django.utils.translation import gettext as _

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.models import Production, User
from core.places import TO_DOS, ToDo


def to_dos(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What waits for `user`, by production id; a production where nothing waits is there, empty.

    `members` is the person in each of their productions. Queries do not grow with them.
    """
    waiting: dict[UUID, list[ToDo]] = {member.production.pk: [] for member in members}
    for found in TO_DOS.call(user, members):
        for production, each in found.items():
            waiting[production].extend(each)
    return waiting


def set_up(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """Players to add, people to invite. One query, whatever the number of productions."""
    counted = Production.objects.annotate(
        # distinct: two joins multiply the rows, and each would be counted for every other.
        players_in_use=Count("players", filter=Q(players__retired_at=None), distinct=True),
        people=Count("memberships__user", distinct=True),
    ).in_bulk([member.production.pk for member in members])
    return {m.production.pk: _missing(m, counted[m.production.pk]) for m in members}


def _missing(member: Member, counted: Production) -> list[ToDo]:
    missing = []
    place = [counted.pk]
    if not counted.players_in_use and allowed(member.roles, Action.EDIT_TOUR):  # type: ignore[attr-defined]
        url = reverse("core:players_several", args=place)
        missing.append(ToDo(_("Add the players"), url, "guitar"))
    if counted.people == 1 and allowed(member.roles, Action.INVITE):  # type: ignore[attr-defined]
        url = reverse("core:invite", args=place)
        missing.append(ToDo(_("Invite the others"), url, "user-plus"))
    return missing
