"""The handovers of a production: the list, one leg's page, its words."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg
from core.offline.pages import PageLink, as_list
from core.views.pages import form_page, posted
from notes.handover.forms import HandoverForm
from notes.handover.newest import last_of, newest_of
from notes.handover.offline import stored_pages
from notes.handover.orders import order_for
from notes.handover.overview import overview
from notes.handover.pages import show_copy
from notes.handover.publish import words_of
from notes.handover.services import handover_of
from notes.models import Handover


@require_safe
@production_view(Action.READ)
def handovers(request: ProductionRequest) -> HttpResponse:
    context = {"rows": overview(request.production, request.user), "active_nav": "handover"}
    return render(request, "notes/handover/handovers.html", context)


@require_safe
@production_view(Action.READ)
def handover(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    return show_copy(request, leg_of(request, leg_id))


@require_safe
@production_view(Action.READ)
def keep(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    """The list for the service worker of a device: what it stores with this handover."""
    leg = leg_of(request, leg_id)
    newest, copy = newest_of(leg), Handover(leg=leg).get_absolute_url()
    address, name = (newest.get_absolute_url(), str(newest)) if newest else (copy, _("Handover"))
    # What the crew reads, short and whole in the order of their role.
    whole = f"{address}?for={order_for('', request.member.roles).key}&long"
    links = [PageLink(address, name), PageLink(whole, _("{name}, in full").format(name=name))]
    if newest:
        links.append(PageLink(copy, _("Handover, as it stands")))
    pages = stored_pages(request.member, leg, address, _("Handover: {leg}").format(leg=leg), links)
    return as_list(pages, request.production, request.user)


@require_http_methods(["GET", "HEAD", "POST"])
@production_view(Action.WRITE_HANDOVER)
def edit(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg = leg_of(request, leg_id)
    instance, last = _instance(request, leg), None
    if not (instance.opening or instance.cautions or instance.people):
        last = last_of(request.production)  # a new one starts from the last
    started = words_of(last) if last else {}
    form = HandoverForm(posted(request), instance=instance, initial=started)
    if form.try_save():
        messages.success(request, _("The handover for {leg} is saved.").format(leg=leg))
        return redirect(form.instance)
    return form_page(
        request,
        form,
        heading=_("Handover for {leg}").format(leg=leg),
        active_nav="handover",
        cancel_url=Handover(leg=leg).get_absolute_url(),
        template="notes/handover/edit.html",
        started_from=last,
    )


def _instance(request: HttpRequest, leg: Leg) -> Handover:
    """The handover on file; a blank one while somebody only looks at the form."""
    if request.method == "POST":
        return handover_of(leg)
    return Handover.objects.filter(leg=leg).first() or Handover(leg=leg)


def leg_of(request: ProductionRequest, leg_id: UUID) -> Leg:
    legs = Leg.objects.select_related("production")
    return get_object_or_404(legs, pk=leg_id, production=request.production)
