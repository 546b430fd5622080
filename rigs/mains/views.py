"""The mains of a show: the page, its files, and its line in the card of the show."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.languages.words import number
from core.models import Leg
from core.places import Panel
from rigs.cautions import MAINS
from rigs.lists.views import grid_file
from rigs.mains.fit import HEADROOM
from rigs.mains.show_mains import as_rows, mains_of, state_of_mains
from rigs.shows.views import find_show

NOT_IN_IT = gettext_lazy(
    "Current is that of the rating plate, which is the most a unit takes, or else watts over "
    "volts. Inrush when things are switched on is not in these figures."
)
_TRANSFORMERS = gettext_lazy(
    "A transformer is given {times} times what its unit takes (common practice, no source). "
    "It changes volts, never Hz."
)


def _transformers() -> str:
    return _TRANSFORMERS.format(times=number(HEADROOM))


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    mains = mains_of(show)
    context = {
        "show": show,
        "mains": mains,
        "state": state_of_mains(mains, show),
        "caution": MAINS,
        "notes": (NOT_IN_IT, _transformers()),
        "active_nav": "tour",
    }
    return render(request, "rigs/mains/page.html", context)


@require_safe
@production_view(Action.READ)
def file(request: ProductionRequest, show_id: UUID, format: str) -> HttpResponse:
    show = find_show(request, show_id)
    mains = mains_of(show)
    house = mains.house_words or _("not noted")
    return grid_file(
        request,
        as_rows(mains, to_read=format == "pdf"),
        _("Mains, {show}").format(show=show),
        format,
        state=partial(state_of_mains, mains, show),
        page=within(request, "rigs:show_mains", show.pk),
        cautions=(str(MAINS.text), str(NOT_IN_IT), _transformers()),
        captions=(_("The house: {house}.").format(house=house), *mains.unknown),
    )


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the mains of each house. No query."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    return {show.pk: Panel("rigs/mains/_of_show.html", {}) for show in shows}
