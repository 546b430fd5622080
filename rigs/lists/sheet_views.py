"""Sheets on paper: recall sheets of rigs, labels of units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import each_of
from core.numbers import whole_number
from rigs.lists.cases import by_case, case_address
from rigs.models import Device, Rig, Unit
from rigs.paper.responses import paper_of, pdf
from rigs.paper.sheets import label_sheet, recall_sheet
from rigs.revisions import read


@require_safe
@production_view(Action.READ)
def recall(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """The rig as it is, or as of a change by ?at=12."""
    rig = get_object_or_404(
        Rig.objects.select_related("player", "production"), pk=rig_id, production=request.production
    )
    at = whole_number(request.GET.get("at"))
    try:
        revision = read.revision(rig, rig.head_number if at is None else at)
    except read.NoSuchRevision as error:
        raise Http404(str(error)) from None
    address = request.build_absolute_uri(reverse("rigs:rig", args=[request.production.pk, rig_id]))
    sheet = recall_sheet(rig, revision, address=address, paper=paper_of(request))
    return pdf(request, sheet, _("Recall {rig}").format(rig=rig))


@require_safe
@production_view(Action.READ)
def labels(request: ProductionRequest) -> HttpResponse:
    """A label for each rig, case and unit of the live rigs; ?rig= keeps to one."""
    rigs = Rig.objects.filter(production=request.production, retired=False)
    units = Unit.objects.live().filter(rig__production=request.production, rig__retired=False)
    rig_id = request.GET.get("rig", "")
    if rig_id:
        try:
            rigs, units = rigs.filter(pk=UUID(rig_id)), units.filter(rig=UUID(rig_id))
        except ValueError:
            raise Http404(_("No such rig.")) from None
    made: list[tuple[str, str, str]] = [
        (rig.name, str(rig.player), _address(request, "rigs:rig", rig.pk))
        for rig in rigs.select_related("player")
    ]
    labelled = list(units.select_related("rig").order_by("rig__name", "position"))
    packed: list[Unit | Device] = [*labelled]
    if not rig_id:
        packed += Device.objects.live().filter(production=request.production)
    made += [
        (
            case,
            _inside(inside),
            request.build_absolute_uri(case_address(request.production.pk, case)),
        )
        for case, inside in by_case(packed).items()
    ]
    made += [
        (unit.name, str(unit.rig), _address(request, "rigs:unit", unit.rig_id, unit.pk))
        for unit in labelled
    ]
    return pdf(request, label_sheet(request.production, made, paper=paper_of(request)), _("Labels"))


def _inside(things: Sequence[Unit | Device]) -> str:
    """What a label has room for of what is in a case."""
    # Four names fit on the label; how many more there are is said in a word.
    names = [thing.name for thing in things[:4]]
    if len(things) <= 4:
        return each_of(names)
    return _("{names}, and {n} more").format(names=each_of(names), n=len(things) - 4)


def _address(request: ProductionRequest, name: str, *arguments: Any) -> str:
    return request.build_absolute_uri(reverse(name, args=[request.production.pk, *arguments]))
