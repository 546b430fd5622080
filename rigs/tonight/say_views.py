"""Say what is other about a unit at a show, carry it over, make it permanent."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from core.access.policy import Action, allowed
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.languages.words import apart, each_of
from core.models import Show
from core.offline.once import before_transaction
from core.offline.queries import same_page_without
from core.views.pages import asked_id, form_page, posted
from rigs.models import Unit, UnitAtShow
from rigs.photos.forms import prepare_ahead
from rigs.revisions.record import Conflict
from rigs.shows.views import find_show
from rigs.tonight.at_show import units_at
from rigs.tonight.forms import AtShowForm, DidForm, PermanentForm, ReplaceForm, SetForm
from rigs.tonight.records import tried
from rigs.tonight.services import (
    RETIRED_SHOW,
    TAKEN_BACK,
    as_documented,
    as_of_leg,
    carry,
    how_it_did,
    in_words,
    make_permanent,
    next_show,
    to_carry,
)
from rigs.tonight.views import find_unit

What = UnitAtShow.What


def _own_row(show: Show, unit: Unit) -> UnitAtShow | None:
    """What is said of the unit at this very show: for it alone, or from it on."""
    rows = UnitAtShow.objects.filter(show=show, unit=unit, withdrawn_at=None)
    # “show” comes after “leg” in the alphabet; it is the layer that counts.
    return rows.prefetch_related("controls").order_by("-lasts").first()


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def set_unit(request: ProductionRequest, show_id: UUID, unit_id: UUID) -> HttpResponse:
    show, unit = find_show(request, show_id), find_unit(request, unit_id)
    row = _own_row(show, unit)
    if row is not None and row.what == What.REPLACED:
        # What came has its controls on its own form.
        return redirect(within(request, "rigs:unit_replaced_tonight", show.pk, unit.pk))
    form = SetForm(
        show,
        unit,
        posted(request),
        row=row if row is not None and row.what == What.SET else None,
        for_legs=allowed(request.member.roles, Action.EDIT_RIG),
    )
    if row is not None:
        form.initial["seen"] = row.version
    return _say(
        request, form, _("Set differently: {unit}").format(unit=unit), "rigs/tonight/set.html"
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
@before_transaction(prepare_ahead)
@same_page_without("like")
def replace_unit(request: ProductionRequest, show_id: UUID, unit_id: UUID) -> HttpResponse:
    """?like= is a substitute of before, whose controls the form begins with."""
    show, unit = find_show(request, show_id), find_unit(request, unit_id)
    row = _own_row(show, unit)
    of_before = tried(request.production.pk)
    asked = asked_id(request, "like")
    form = ReplaceForm(
        show,
        unit,
        posted(request),
        request.FILES or None,
        row=row,
        like=get_object_or_404(of_before, pk=asked) if asked else None,
        for_legs=allowed(request.member.roles, Action.EDIT_RIG),
    )
    heading = _("Another unit for {unit}").format(unit=unit)
    # Of that kind, of this unit, or of the model that was just typed.
    alike = Q(gear=unit.gear) | Q(unit=unit)
    if form.is_bound and (model := form["model"].value()):
        alike |= Q(model__iexact=model.strip())
    known = of_before.filter(alike)
    if row is not None:
        known = known.exclude(pk=row.pk)
    return _say(request, form, heading, "rigs/tonight/replace.html", tried=known[:6])


def _say(
    request: ProductionRequest, form: AtShowForm, heading: str, template: str, **more: Any
) -> HttpResponse:
    show, unit = form.show, form.unit
    back = within(request, "rigs:show_gear", show.pk)
    if show.is_retired:
        messages.warning(request, RETIRED_SHOW)
        return redirect(back)
    if form.is_bound:
        outcome = form.try_say(request.user)
        if outcome.done:
            _tell(request, show, unit, outcome.row)
            return redirect(f"{back}#unit-{unit.pk}")
        form = outcome.form
    now = next((e for e in units_at(show, [unit.rig]) if e.unit.id == str(unit.pk)), None)
    return form_page(
        request,
        form,
        heading=heading,
        cancel_url=back,
        active_nav="tour",
        template=template,
        show=show,
        unit=unit,
        now=now,
        later=f"{unit}, {show}",
        **more,
    )


def _tell(request: ProductionRequest, show: Show, unit: Unit, row: UnitAtShow | None) -> None:
    if row is None:
        messages.success(
            request, _("“{unit}” is as documented at {show}.").format(unit=unit, show=show)
        )
    else:
        told = apart(in_words(row)).rstrip(".")  # may end in what somebody typed
        messages.success(
            request,
            _("“{unit}” at {show}: {told}. The rig stays as it is.").format(
                unit=unit, show=show, told=told
            ),
        )


@require_POST
@production_view(Action.LINE_CHECK)
def documented(request: ProductionRequest, show_id: UUID, unit_id: UUID) -> HttpResponse:
    """`lasts` is “show” for this show alone; `as_leg` takes back what was said so."""
    show, unit = find_show(request, show_id), find_unit(request, unit_id)
    # Who may not speak for the rest of the leg speaks for this show.
    for_leg = allowed(request.member.roles, Action.EDIT_RIG) and request.POST.get("lasts") != "show"
    back = redirect(within(request, "rigs:show_gear", show.pk))
    try:
        if "as_leg" in request.POST:
            as_of_leg(show, unit, by=request.user)
            messages.success(
                request, _("“{unit}” is at {show} as the leg has it.").format(unit=unit, show=show)
            )
            return back
        as_documented(show, unit, by=request.user, lasts="leg" if for_leg else "show")
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        said = (
            _("“{unit}” is as documented again from {show} on.")
            if for_leg
            else _("“{unit}” is as documented again at {show}, and there alone.")
        )
        messages.success(request, said.format(unit=unit, show=show))
    return back


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def carry_over(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Show what would be carried over to the next show, then do it."""
    show = find_show(request, show_id)
    back, to = within(request, "rigs:show_gear", show.pk), next_show(show)
    if to is None:
        messages.warning(request, _("There is no later show of this leg to carry it over to."))
        return redirect(back)
    if request.method == "POST":
        try:
            made = carry(show, to, by=request.user)
        except ValidationError as refused:
            messages.error(request, " ".join(refused.messages))
            return redirect(back)
        names = each_of(str(row.unit) for row in made)
        messages.success(
            request,
            _("Carried over to {to}: {names}.").format(to=to, names=names)
            if made
            else _("Nothing was to be carried."),
        )
        return redirect(within(request, "rigs:show_gear", to.pk))
    rows, left = to_carry(show, to)
    told = [(row, in_words(row)) for row in rows]
    context = {"show": show, "to": to, "rows": told, "left": left, "active_nav": "tour"}
    return render(request, "rigs/tonight/carry.html", context)


def _find_said(request: ProductionRequest, show_id: UUID, said_id: UUID) -> UnitAtShow:
    rows = UnitAtShow.objects.select_related("unit__rig__player", "show__leg", "permanent")
    found: UnitAtShow = get_object_or_404(
        rows, pk=said_id, show=show_id, show__leg__production=request.production
    )
    return found


@require_http_methods(["GET", "POST"])
@production_view(Action.LINE_CHECK)
def did(request: ProductionRequest, show_id: UUID, said_id: UUID) -> HttpResponse:
    """How what came did: found again when it turns up next time."""
    row = _find_said(request, show_id, said_id)
    back = within(request, "rigs:show_gear", show_id)
    if row.what != What.REPLACED:
        messages.warning(request, _("Only what came in place of a unit can be judged."))
        return redirect(back)
    form = DidForm(posted(request), initial={"fared": row.fared, "fared_words": row.fared_words})
    if form.is_bound and form.is_valid():
        cleaned = form.cleaned_data
        how_it_did(row, by=request.user, fared=cleaned["fared"], words=cleaned["fared_words"])
        messages.success(
            request, _("How {make} did is noted, for when it turns up again.").format(make=row.make)
        )
        return redirect(back)
    return form_page(
        request,
        form,
        heading=_("How did {make} do?").format(make=row.make),
        cancel_url=back,
        active_nav="tour",
        later=_("How {make} did").format(make=row.make),
        lede=_("In place of “{unit}”, {show}. It is found again when this model turns up.").format(
            unit=row.unit, show=row.show
        ),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def permanent(request: ProductionRequest, show_id: UUID, said_id: UUID) -> HttpResponse:
    """Show what would change in the rig, then change it, with its reason."""
    row = _find_said(request, show_id, said_id)
    back = within(request, "rigs:show_gear", show_id)
    if not row.holds or row.what == What.DOCUMENTED:
        messages.error(request, TAKEN_BACK)
        return redirect(back)
    rig = row.unit.rig
    form = PermanentForm(
        posted(request), initial={"base": rig.head_number, "kind": row.why, "words": row.words}
    )
    status = 200
    if form.is_bound and form.is_valid():
        try:
            revision = make_permanent(
                row, by=request.user, base=form.cleaned_data["base"], reason=form.reason()
            )
        except Conflict as conflict:
            form.decide_on(conflict.rig.head_number)
            status = 409
        except ValidationError as refused:
            form.add_error(None, ValidationError(refused.messages))
        else:
            number = revision.number if revision else rig.head_number
            messages.success(
                request,
                _("“{unit}” is changed for good, in change {number}.").format(
                    unit=row.unit, number=number
                ),
            )
            return redirect(back)
    now = next((e for e in units_at(row.show, [rig]) if e.unit.id == str(row.unit_id)), None)
    response = form_page(
        request,
        form,
        heading=_("Make permanent: {unit}").format(unit=row.unit),
        cancel_url=back,
        active_nav="tour",
        template="rigs/tonight/permanent.html",
        show=row.show,
        row=row,
        each=now,
        meanwhile=status == 409,
        submit=_("Change the rig"),
    )
    response.status_code = status
    return response
