"""The rehearsal room of a production."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.forms.rooms import RehearsalRoomForm
from core.models import RehearsalRoom
from core.views.pages import form_page, posted

LEDE = gettext_lazy(
    "What the rooms of the tour are compared with. Leave empty what nobody has measured."
)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def edit(request: ProductionRequest) -> HttpResponse:
    """`?leg=` is where the reader came from and goes back to."""
    place = request.production
    room = RehearsalRoom.objects.filter(production=place).first()
    form = RehearsalRoomForm(
        posted(request),
        instance=room or RehearsalRoom(production=place),
        scale=request.user.temperature_scale,
    )
    back = _back(request)
    if form.try_save():
        messages.success(
            request, _("{instance} is saved as the rehearsal room.").format(instance=form.instance)
        )
        return redirect(back)
    return form_page(
        request,
        form,
        heading=_("The rehearsal room"),
        cancel_url=back,
        active_nav="tour",
        lede=LEDE,
    )


def _back(request: ProductionRequest) -> str:
    try:
        # By id and of this production: an address to go back to must not lead off this site.
        leg = request.production.legs.get(pk=UUID(request.GET.get("leg", "")))
    except (ValueError, request.production.legs.model.DoesNotExist):
        return within(request, "core:tour")
    return leg.get_absolute_url()
