"""What waits for a tech: things that must be changed before the next show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from uuid import UUID

from django.urls import reverse
from django.utils.translation import ngettext

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.models import User
from core.places import ToDo
from rigs.upkeep.services import items, live_spares, next_show, shows_of


def upkeep(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What waits for a tech, by production.

    Three queries for any number of productions; none without a role that may edit rigs.
    """
    places = [m.production.pk for m in members if allowed(m.roles, Action.EDIT_RIG)]
    if not places:
        return {}
    shows = shows_of(places)
    due = items(live_spares(places), shows)
    waiting = Counter(item.spare.rig.production_id for item in due if item.due.waits)
    to_dos: dict[UUID, list[ToDo]] = {}
    for place, count in waiting.items():
        show = next_show(shows[place])
        if show:
            words = ngettext(
                "{n} thing is due before {show}", "{n} things are due before {show}", count
            )
        else:
            words = ngettext("{n} thing is overdue", "{n} things are overdue", count)
        words = words.format(n=count, show=show)
        url = reverse("rigs:upkeep", args=[place])
        to_dos[place] = [ToDo(words, url, "wrench")]
    return to_dos
