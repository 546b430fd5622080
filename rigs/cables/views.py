"""Pages of the cables between units: one, or many typed as a path."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.cables.link_form import NewLinkForm
from rigs.cables.path_form import PathForm
from rigs.editing.kinds import LinkForm
from rigs.editing.ordering import next_position
from rigs.editing.pages import change_page, edit_page, find_part, find_rig
from rigs.models import Link


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    link = Link(rig=rig)
    path = f"{rig.get_absolute_url()}#path"
    form = NewLinkForm(rig, link, posted(request), fixed={"position": next_position(link)})
    return change_page(
        request,
        form,
        heading=_("Add a cable"),
        done_url=path,
        success=_("The cable is in the path."),
        offer_another=True,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def path(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """Many cables at once, typed as a path.

    A preview writes nothing; the live one answers with the part of the page that it replaces.
    """
    rig = find_rig(request, rig_id)
    form = PathForm(rig, posted(request))
    here = f"{rig.get_absolute_url()}#path"
    template = "rigs/cables/path.html"
    if form.is_bound and form.is_preview:
        form.is_valid()
        context = {"form": form, "rig": rig, "cancel_url": here, "active_nav": "rigs"}
        if form.data["preview"] == "live":
            template = "rigs/cables/_preview.html"
        return render(request, template, context | {"heading": PATH})
    return change_page(
        request,
        form,
        heading=str(PATH),
        done_url=here,
        success=form.success,
        template=template,
    )


PATH = gettext_lazy("Add cables as a path")


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, link_id: UUID) -> HttpResponse:
    link = find_part(request, Link, rig_id, link_id)
    return edit_page(
        request,
        link,
        LinkForm,
        heading=_("Cable {link}").format(link=link),
        success=_("The cable is saved."),
        back=f"{link.rig.get_absolute_url()}#path",
    )
