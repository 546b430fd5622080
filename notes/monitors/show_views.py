"""The mixes of tonight: what stands in them, what is wished, what is done."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import BadRequest, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action, allowed
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Leg, Production
from core.places import Panel
from notes.models import MixWish, MixWishMark, MonitorMix
from notes.monitors.cautions import HEARING
from notes.monitors.forms import WishForm
from notes.monitors.paper import mixes_pdf
from notes.monitors.shown import all_shown
from notes.monitors.wishes import mark, open_wishes, wish
from rigs.paper.responses import paper_of, pdf
from rigs.shows.views import find_show


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.WISH)
def tonight(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """A POST is a wish in one of the mixes."""
    show = find_show(request, show_id)
    form = WishForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        mixes = MonitorMix.objects.filter(production=request.production)
        found = get_object_or_404(mixes, pk=form.cleaned_data["mix"])
        try:
            made = wish(found, show, form.cleaned_data["words"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, ValidationError(refused.messages))
        else:
            messages.success(
                request, _("Wished in {found}: “{made}”.").format(found=found, made=made)
            )
            return redirect(f"{within(request, 'notes:show_mixes', show.pk)}#mix-{found.pk}")
    context = {
        "show": show,
        "entries": all_shown(request.production, show),
        "form": form,
        "caution": HEARING,
        "active_nav": "tour",
    }
    return render(request, "notes/monitors/tonight.html", context)


@require_POST
@production_view(Action.WISH)
def mark_wish(request: ProductionRequest, show_id: UUID, wish_id: UUID) -> HttpResponse:
    """One press: done, not done after all, or taken back by whoever wished it."""
    show = find_show(request, show_id)
    wishes = MixWish.objects.select_related("mix")
    found = get_object_or_404(wishes, pk=wish_id, show=show)
    state = request.POST.get("state", "")
    if state not in MixWishMark.State:
        raise BadRequest(_("There is no such mark."))
    may_edit = allowed(request.member.roles, Action.EDIT_MIX)
    try:
        mark(found, state, by=request.user, may_edit=may_edit)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    return redirect(f"{within(request, 'notes:show_mixes', show.pk)}#mix-{found.mix_id}")


@require_safe
@production_view(Action.READ)
def paper(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """A page for each mix, tonight's wishes on it. A4, or Letter by ?paper=us-letter."""
    show = find_show(request, show_id)
    entries = all_shown(request.production, show)
    sheet = mixes_pdf(request.production, entries, paper=paper_of(request), show=show)
    return pdf(request, sheet, _("Monitor mixes {show}").format(show=show))


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the wishes of each show. Three queries, however many shows."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    mixes = MonitorMix.objects.live().filter(production=leg.production_id).count()
    counts = open_wishes(shows) if shows and mixes else {}
    return {
        show.pk: Panel(
            "notes/monitors/_of_show.html",
            {"mixes": mixes, "open": counts[show.pk][0], "wishes": counts[show.pk][1]},
        )
        for show in shows
        if mixes
    }


def front(request: HttpRequest | ProductionRequest, production: Production) -> Panel:
    """On the front page of a production: the way to its mixes. One query."""
    mixes = MonitorMix.objects.live().filter(production=production).count()
    return Panel("notes/monitors/_front.html", {"mixes": mixes})
