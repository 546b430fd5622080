"""Cables between units."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.kinds import LinkForm
from rigs.editing.ordering import next_position
from rigs.editing.pages import address, change_page, edit_page, find_part, find_rig
from rigs.models import Link


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    link = Link(rig=rig)
    path = f"{rig.get_absolute_url()}#path"
    form = LinkForm(rig, link, posted(request), fixed={"position": next_position(link)})
    form.initial["source"] = request.GET.get("from", "")
    return change_page(
        request,
        form,
        heading="Add a cable",
        done_url=path,
        success="The cable is in the path.",
        next_url=address(rig, "link_new") if "another" in request.POST else path,
        offer_another=True,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, link_id: UUID) -> HttpResponse:
    link = find_part(request, Link, rig_id, link_id)
    return edit_page(
        request,
        link,
        LinkForm,
        heading=f"Cable {link}",
        success="The cable is saved.",
        back=f"{link.rig.get_absolute_url()}#path",
    )
