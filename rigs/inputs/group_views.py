"""Pages of a group of units: what it is called, and which units belong to it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.choices import GroupForm
from rigs.editing.ordering import next_position
from rigs.editing.pages import address, change_page, edit_page, find_part, find_rig
from rigs.models import Group


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    group = Group(rig=rig)
    another = "another" in request.POST
    listed = f"{rig.get_absolute_url()}#inputs"
    return change_page(
        request,
        GroupForm(rig, group, posted(request), fixed={"position": next_position(group)}),
        heading=_("Name a group of units"),
        done_url=listed,
        offer_another=True,
        next_url=address(rig, "group_new") if another else listed,
        success=_("“{name}” can be chosen for inputs now.").format(
            name=request.POST.get("name", "").strip()
        ),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, group_id: UUID) -> HttpResponse:
    group = find_part(request, Group, rig_id, group_id)
    return edit_page(
        request,
        group,
        GroupForm,
        heading=_("Group “{group}”").format(group=group),
        success=_("“{name}” is saved.").format(name=group),
        back=f"{group.rig.get_absolute_url()}#inputs",
        item=group,
    )
