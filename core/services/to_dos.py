"""What waits for somebody: gathered from every app, and what core itself knows of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from uuid import UUID

from django.db.models import Count, Q
from django.urls import reverse
from django.utils.translation import gettext as _

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.composed import Composed, Several, column
from core.models import Production, Show, User
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


def of_shows(
    shows: Iterable[Show], say: Callable[[int, Show], str], address: str, icon: str
) -> dict[UUID, list[ToDo]]:
    """What waits at shows, by production: a line for each, which `say` is told how often it is
    among them. `address` is the name of that show's page; `#part` may follow."""
    name, hash_mark, part = address.partition("#")
    count: Counter[UUID] = Counter()
    by_key: dict[UUID, Show] = {}
    for show in shows:
        by_key[show.pk] = show
        count[show.pk] += 1
    waiting: dict[UUID, list[ToDo]] = {}
    for pk, show in by_key.items():
        place = show.leg.production_id
        url = reverse(name, args=[place, pk]) + hash_mark + part
        waiting.setdefault(place, []).append(ToDo(say(count[pk], show), url, icon))
    return waiting


def set_up(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """Players to add, people to invite. One query, whatever the number of productions."""
    counted = {each.pk: each for each in _counted([member.production.pk for member in members])}
    return {m.production.pk: _missing(m, counted[m.production.pk]) for m in members}


_counted = Composed(
    lambda places: Production.objects.filter(pk__among=places).annotate(
        # distinct: two joins multiply the rows, and each would be counted for every other.
        players_in_use=Count("players", filter=Q(players__retired_at=None), distinct=True),
        people=Count("memberships__user", distinct=True),
    ),
    Several(column(Production)),
)


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
