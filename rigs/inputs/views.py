"""Pages of an input: its source, its microphone or DI, and where that stands."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.languages.words import all_of
from core.views.pages import posted
from rigs.cautions import near, of_input
from rigs.editing.ordering import next_position
from rigs.editing.pages import address, change_page, edit_page, find_part, find_rig
from rigs.inputs.new_devices import InputPageForm
from rigs.models import Input, Rig
from rigs.models.rigs import VARIANTS_IN_ORDER
from rigs.places import INPUT
from rigs.revisions.many import newest
from rigs.wording.build import snapshot_view
from rigs.wording.unit_views import UnitView
from rigs.wording.views import GroupView, InputView, OtherRig, RigView


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    entry = Input(rig=rig)
    listed = f"{rig.get_absolute_url()}#inputs"
    form = InputPageForm(rig, entry, posted(request), fixed={"position": next_position(entry)})
    return change_page(
        request,
        form,
        heading=_("Add an input"),
        done_url=listed,
        offer_another=True,
        next_url=address(rig, "input", entry.pk),
        success=_("“{name}” is added.").format(name=request.POST.get("name", "").strip()),
    )


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    entry = find_part(request, Input, rig_id, input_id)
    # A retired input is not in the live state, and its page is shown all the same.
    snapshot = newest(entry.rig) | {str(entry.pk): entry.fields()}
    view = snapshot_view(entry.rig, snapshot)
    shown = view.input(entry.pk)
    assert shown is not None  # noqa: S101 - put in just above
    units = [unit for each in shown.units if (unit := view.unit(each))]
    context = {
        "rig": entry.rig,
        "input": entry,
        "view": shown,
        "sources": _sources(entry.rig, view, shown),
        "cautions": [*of_input(shown), *(each for unit in units for each in near(unit))],
        "panels": INPUT.call(request, entry),
        "active_nav": "rigs",
    }
    return render(request, "rigs/inputs/input.html", context)


def _sources(rig: Rig, view: RigView, shown: InputView) -> SafeString:
    """What it picks up in words, each with a link to where it is documented."""
    chosen = [each for part in shown.chosen if (each := view.source(part))]
    listed = [_source(rig, each) for each in (*chosen, *_rigs_of(rig, shown.others))]
    # Each of them was escaped, and what stands between them is ours.
    return SafeString(all_of(listed))


def _source(rig: Rig, source: UnitView | GroupView | Rig | OtherRig) -> SafeString:
    if isinstance(source, GroupView):
        return format_html("{} ({})", source.name, _(", ").join(source.unit_names))
    if isinstance(source, UnitView):
        return format_html('<a href="{}">{}</a>', address(rig, "unit", source.id), source.name)
    if isinstance(source, Rig):
        words = _("{player}’s rig").format(player=source.player)
        return format_html('<a href="{}">{}</a>', source.get_absolute_url(), words)
    return format_html("{}", source.name)


def _rigs_of(rig: Rig, others: Collection[OtherRig]) -> list[Rig | OtherRig]:
    """The rig that each of `others` plays first of all, to go there; one query, or none."""
    found: dict[str, Rig] = {}
    if others:
        players = [UUID(other.id) for other in others]
        rigs = Rig.objects.filter(player__in=players, production=rig.production_id, retired=False)
        for each in rigs.select_related("player").order_by(VARIANTS_IN_ORDER, "name"):
            found.setdefault(str(each.player_id), each)
    return [found.get(other.id, other) for other in others]


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    entry = find_part(request, Input, rig_id, input_id)
    return edit_page(
        request,
        entry,
        InputPageForm,
        heading=_("Input {input}").format(input=entry),
        success=_("“{name}” is saved.").format(name=entry),
        back=address(entry.rig, "input", entry.pk),
        item=entry,
    )
