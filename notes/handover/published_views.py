"""A published handover: read it, see what changed before and since; publish one."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Leg
from notes.handover.compare import is_empty
from notes.handover.in_words import between_in_words
from notes.handover.newest import last_of
from notes.handover.pages import show_published
from notes.handover.print import handover_pdf
from notes.handover.publish import NothingNew, between, missing, publish, read
from notes.handover.questions import questions_of, unanswered
from notes.handover.state import find, state_of
from notes.models import Handover, PublishedHandover
from rigs.paper.responses import paper_of, pdf

Plain = dict[str, Any]


@require_safe
@production_view(Action.READ)
def printed(request: ProductionRequest, published_id: UUID) -> HttpResponse:
    """The handover as PDF; `?player=` keeps to one player, `?paper=us-letter` asks for Letter."""
    published = find_published(request, published_id)
    try:
        data = handover_pdf(
            published,
            address=request.build_absolute_uri(published.get_absolute_url()),
            paper=paper_of(request),
            player=request.GET.get("player", ""),
        )
    except LookupError as error:
        raise Http404(str(error)) from None
    return pdf(request, data, _("Handover {number}").format(number=published.number))


def find_published(request: ProductionRequest, published_id: UUID) -> PublishedHandover:
    """Its content is read when somebody asks for it: most of the time its page is kept."""
    return get_object_or_404(_all(request).filter(pk=published_id))


def _all(request: ProductionRequest) -> QuerySet[PublishedHandover]:
    return (
        PublishedHandover.objects.filter(production=request.production)
        .select_related("production", "handover__leg__production", "published_by", "previous")
        # The one before is named on the page, not read.
        .defer("content", "previous__content")
    )


@require_safe
@production_view(Action.READ)
def published(request: ProductionRequest, published_id: UUID) -> HttpResponse:
    return show_published(request, find_published(request, published_id))


@require_safe
@production_view(Action.READ)
def compare(request: ProductionRequest, published_id: UUID) -> HttpResponse:
    """What changed from the handover before to this one, as it was put when this was published."""
    published = find_published(request, published_id)
    content = read(published)
    context = {
        "published": published,
        "content": content,
        "before": published.previous,
        "differences": between_in_words(content.get("between")),
        "active_nav": "handover",
    }
    return render(request, "notes/handover/compare.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@production_view(Action.WRITE_HANDOVER)
def new(request: ProductionRequest, leg_id: UUID) -> HttpResponse:
    """Publish: what is missing and what is new, and the button."""
    legs = Leg.objects.select_related("production")
    leg = get_object_or_404(legs, pk=leg_id, production=request.production)
    if request.method == "POST":
        return _publish(request, leg)
    here, last = find(leg), last_of(request.production)
    state = state_of(here)
    waiting = unanswered(q for each in questions_of(here.handover).values() for q in each)
    changed = between_in_words(between(read(last), state, here.rigs)) if last else None
    context = {
        "leg": leg,
        "last": last,
        "number": last.number + 1 if last else 1,
        "missing": missing(state, len(waiting)),
        "differences": changed,
        "is_empty": changed is not None and is_empty(changed),
        "active_nav": "handover",
        "cancel_url": Handover(leg=leg).get_absolute_url(),
    }
    return render(request, "notes/handover/new.html", context)


def _publish(request: ProductionRequest, leg: Leg) -> HttpResponse:
    try:
        made = publish(leg=leg, by=request.user)
    except NothingNew as refused:
        messages.info(
            request,
            _(
                "Nothing has changed since {last} was published. {last} still is what the crew "
                "reads."
            ).format(last=refused.last),
        )
        return redirect(refused.last)
    messages.success(
        request, _("{made} is published. What it says stays as it is.").format(made=made)
    )
    return redirect(made)
