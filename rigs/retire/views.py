"""Take something out of a rig, after asking; bring it back."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.views.pages import posted
from rigs.editing.pages import address, change_page, find_part, find_rig
from rigs.models import Control, Group, Input, Link, Part, Rig, Unit
from rigs.retire.forms import RetireForm
from rigs.retire.services import along_words, belongings, bring_back, names_of, retired_parts


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def unit(request: ProductionRequest, rig_id: UUID, unit_id: UUID) -> HttpResponse:
    unit = find_part(request, Unit, rig_id, unit_id)
    own = address(unit.rig, "unit", unit.pk)
    return retire_or_restore_part(
        request,
        unit.rig,
        unit,
        edit_url=own,
        back_url=own,
        done_url=f"{unit.rig.get_absolute_url()}#units",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def input_(request: ProductionRequest, rig_id: UUID, input_id: UUID) -> HttpResponse:
    entry = find_part(request, Input, rig_id, input_id)
    own = address(entry.rig, "input", entry.pk)
    return retire_or_restore_part(
        request,
        entry.rig,
        entry,
        edit_url=own,
        back_url=own,
        done_url=f"{entry.rig.get_absolute_url()}#inputs",
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def control(request: ProductionRequest, rig_id: UUID, control_id: UUID) -> HttpResponse:
    control = find_part(request, Control, rig_id, control_id)
    own = address(control.rig, "unit", control.unit_id)
    edit_url = address(control.rig, "control_edit", control.pk)
    return retire_or_restore_part(
        request, control.rig, control, edit_url=edit_url, back_url=own, done_url=own
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def link(request: ProductionRequest, rig_id: UUID, link_id: UUID) -> HttpResponse:
    link = find_part(request, Link, rig_id, link_id)
    path = f"{link.rig.get_absolute_url()}#path"
    edit_url = address(link.rig, "link_edit", link.pk)
    return retire_or_restore_part(
        request, link.rig, link, edit_url=edit_url, back_url=path, done_url=path
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def group(request: ProductionRequest, rig_id: UUID, group_id: UUID) -> HttpResponse:
    group = find_part(request, Group, rig_id, group_id)
    listed = f"{group.rig.get_absolute_url()}#inputs"
    edit_url = address(group.rig, "group_edit", group.pk)
    return retire_or_restore_part(
        request, group.rig, group, edit_url=edit_url, back_url=listed, done_url=listed
    )


@require_safe
@production_view(Action.READ)
def listing(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    """What was taken out of a rig, and the way back."""
    rig = find_rig(request, rig_id)
    context = {"rig": rig, "groups": retired_parts(rig), "active_nav": "rigs"}
    return render(request, "rigs/retire/retired.html", context)


def retire_or_restore_part(
    request: ProductionRequest,
    rig: Rig,
    part: Part | Rig,
    *,
    edit_url: str,
    done_url: str,
    back_url: str,
) -> HttpResponse:
    if request.method == "POST" and "back" in request.POST:
        return _restore(request, rig, part, back_url)
    if part.retired:
        messages.info(request, _("“{part}” is retired already.").format(part=part))
        return redirect(back_url)
    along = [] if isinstance(part, Rig) else belongings(part)
    names = names_of([part, *along])
    return change_page(
        request,
        RetireForm(rig, part, posted(request)),
        heading=_("Retire “{name}”?").format(name=names[part.pk]),
        done_url=edit_url,
        next_url=done_url,
        template="rigs/retire/retire.html",
        item=part,
        success=_("“{name}” is retired. Its history stays.").format(name=names[part.pk]),
        along=[along_words(each, names[each.pk]) for each in along],
    )


def _restore(request: ProductionRequest, rig: Rig, part: Part | Rig, back_url: str) -> HttpResponse:
    try:
        bring_back(rig=rig, part=part, author=request.user)
    except ValidationError as error:
        messages.error(
            request,
            _("“{part}” cannot come back: {problems}").format(
                part=part, problems=" ".join(error.messages)
            ),
        )
    else:
        messages.success(request, _("“{part}” is back in use.").format(part=part))
    return redirect(back_url)
