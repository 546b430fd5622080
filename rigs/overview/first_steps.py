"""What to do first with rigs, until one of them has a unit and an input."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.composed import Composed, column
from core.models import Production
from core.places import Step
from rigs.models import Input, Photo, Rig, Unit

BY = gettext_lazy("the engineer or a backline tech")
LIST = gettext_lazy(
    "Begin with the input list you have: a spreadsheet makes players, rigs and inputs"
)
PARTS = {"unit": Unit, "input": Input, "photo": Photo}


def _by_how_far(production: UUID) -> QuerySet[Any]:
    has = {
        f"has_{n}": Exists(m.objects.live().filter(rig=OuterRef("pk"))) for n, m in PARTS.items()
    }
    rigs: QuerySet[Any] = Rig.objects.filter(production=production, retired=False)
    furthest: QuerySet[Any] = rigs.annotate(**has).order_by("-has_input", "-has_unit", "made_at")
    return furthest[:1]


_furthest: Composed[Rig] = Composed(_by_how_far, column(Production))


def first_steps(member: Member) -> Sequence[Step]:
    """The steps that remain, empty once a rig has a unit and an input. One query."""
    place = member.production.pk
    rig = next(iter(_furthest(place)), None)
    found = {name: rig is not None and vars(rig)[f"has_{name}"] for name in PARTS}
    if found["unit"] and found["input"]:
        return ()
    may_edit = allowed(member.roles, Action.EDIT_RIG)

    def step(words: str, done: bool, name: str) -> Step:
        if not may_edit:
            return Step(words, done, by=BY)
        # What belongs to a rig has no address before there is one.
        url = reverse(f"rigs:{name}", args=[place, rig.pk]) if rig else ""
        return Step(words, done, url)

    first = step(_("Put the first rig on file"), rig is not None, "rig")
    if may_edit:
        first = first._replace(url=reverse("rigs:new", args=[place]))
    # A list makes players and rigs, too, so that it stands before both.
    listed = Step(LIST, rig is not None, reverse("rigs:list_import_new", args=[place]))
    return [
        *([listed] if may_edit and rig is None else []),
        first,
        step(
            _("Add what the player plays: units and their settings"), found["unit"], "units_several"
        ),
        step(_("Say how it is picked up: the first input"), found["input"], "input_new"),
        step(_("Take photos of it"), found["photo"], "photo_new"),
    ]
