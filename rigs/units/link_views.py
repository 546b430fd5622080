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
def new(request: ProductionRequest, rig: UUID) -> HttpResponse:
    found = find_rig(request, rig)
    link = Link(rig=found)
    path = f"{found.get_absolute_url()}#path"
    form = LinkForm(found, link, posted(request), fixed={"position": next_position(link)})
    form.initial["source"] = request.GET.get("from", "")
    return change_page(
        request,
        form,
        heading="Add a cable",
        done_url=path,
        said="The cable is in the path.",
        next_url=address(found, "link_new") if "another" in request.POST else path,
        offer_another=True,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig: UUID, link: UUID) -> HttpResponse:
    found = find_part(request, Link, rig, link)
    return edit_page(
        request,
        found,
        LinkForm,
        heading=f"Cable {found}",
        said="The cable is saved.",
        back=f"{found.rig.get_absolute_url()}#path",
    )
