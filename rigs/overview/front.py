"""The panel of rigs on the overview of a production: the reader’s own, each with a picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest

from core.access.loaders import Member
from core.access.views import ProductionRequest
from core.composed import Composed, column
from core.models import Production, User
from core.places import Panel
from rigs.models import Revision, Rig
from rigs.overview.listing import in_order, put_covers

SHOWN = 6
LOOKED_BACK = 200  # changes; what somebody did before that is no longer what they work on


def front(request: HttpRequest | ProductionRequest, production: Production) -> Panel | None:
    """At most six; None where there is no rig. Four queries, whatever the number of rigs."""
    rigs = _in_use(production.pk)
    if not rigs:
        return None
    own = _own(rigs, request.member)  # type: ignore[union-attr]
    # An engineer plays no rig of their own; what they changed last is what they work on.
    own = own or _worked_on(rigs, request.user)
    shown = (own or rigs)[:SHOWN]
    put_covers(shown)
    context = {"rigs": shown, "is_own": bool(own), "total": len(rigs)}
    return Panel("rigs/overview/_front.html", context, "rigs/overview/_front_sheets.html")


def _own(rigs: Sequence[Rig], member: Member) -> list[Rig]:
    return [rig for rig in rigs if rig.player_id in member.player_ids]


def _worked_on(rigs: Sequence[Rig], user: Any) -> list[Rig]:
    """Those that the person changed, the last one first."""
    by_id = {rig.pk: rig for rig in rigs}
    latest = [change.rig_id for change in _latest(user.pk)]
    return [by_id[pk] for pk in dict.fromkeys(latest) if pk in by_id]


_in_use = Composed(
    lambda production: in_order(Rig.objects.filter(production=production, retired=False)),
    column(Production),
)
_latest = Composed(
    lambda user: Revision.objects.filter(author=user).order_by("-at").only("rig")[:LOOKED_BACK],
    column(User),
)
