"""What waits at the rigs: controls that a check found turned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from uuid import UUID

from django.urls import reverse
from django.utils.translation import ngettext

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.composed import Composed, Several, column
from core.models import Production, User
from core.places import ToDo
from rigs.models import TurnBack


def to_turn_back(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What is to be turned back, by production, a line for each rig. One query for any number of
    productions; none without a role that may say that it is done."""
    places = [m.production.pk for m in members if allowed(m.roles, Action.LINE_CHECK)]
    if not places:
        return {}
    open_ones = _open(places)
    rigs = {task.control.rig_id: task.control.rig for task in open_ones}
    count = Counter(task.control.rig_id for task in open_ones)
    to_dos: dict[UUID, list[ToDo]] = {}
    for pk, rig in rigs.items():
        words = ngettext(
            "1 control is to be turned back on “{rig}”",
            "{n} controls are to be turned back on “{rig}”",
            count[pk],
        )
        url = reverse("rigs:knob_checks", args=[rig.production_id, pk])
        to_dos.setdefault(rig.production_id, []).append(
            ToDo(words.format(n=count[pk], rig=rig), url, "undo-2")
        )
    return to_dos


_open = Composed(
    lambda places: TurnBack.objects.filter(
        done_at=None,
        control__retired=False,
        control__rig__production__pk__among=places,
        control__rig__retired=False,
    ).select_related("control__rig"),
    Several(column(Production)),
)
