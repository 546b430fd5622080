"""For the crew that hands over: who has read what, what waits for whom, and a button to remind."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import each_of
from core.models import Leg
from core.offline.once import long_running
from notes.handover.newest import newest_by_leg
from notes.handover.remind import Sent, outlook, remind
from notes.handover.views import leg_of
from notes.models import Handover


@require_http_methods(["GET", "HEAD", "POST"])
@long_running  # mails go out
@production_view(Action.REMIND)
def reminders(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    leg = leg_of(request, leg_id)
    published = newest_by_leg([leg]).get(leg.pk)
    context = {
        "leg": leg,
        "active_nav": "handover",
        "back_url": Handover(leg=leg).get_absolute_url(),
    }
    if published is None:
        return render(request, "notes/handover/reminders.html", context)
    if request.method == "POST":
        base = request.build_absolute_uri("/").rstrip("/")
        again = "again" in request.POST
        _report(request, remind(published, by=request.user, base=base, again=again))
        return redirect(_address(leg))
    return render(
        request,
        "notes/handover/reminders.html",
        {**context, "published": published, "outlook": outlook(published)},
    )


def _address(leg: Leg) -> str:
    return reverse("notes:reminders", args=[leg.production_id, leg.pk])


def _report(request: ProductionRequest, sent: Sent) -> None:
    if sent.to:
        messages.success(request, _("Reminded: {names}.").format(names=each_of(sent.to)))
    if sent.failed:
        messages.error(
            request,
            _("The mail could not be sent to {names}.").format(names=each_of(sent.failed)),
        )
    if sent.not_again:
        messages.info(
            request, _("Reminded today already: {names}.").format(names=each_of(sent.not_again))
        )
    if not (sent.to or sent.failed or sent.not_again):
        messages.info(request, _("Nothing waits for anybody. No mail was sent."))
