"""The list of rigs, a rig, and what is done to a rig as a whole."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, guest_of, production_view
from core.services.research import for_player
from core.views.another import after_saving
from core.views.pages import form_page, posted
from rigs.editing.kinds import RigForm
from rigs.editing.pages import address, change_page, find_rig
from rigs.models import Revision, Rig
from rigs.overview.copy import copy_rig
from rigs.overview.forms import CopyRigForm, NewRigForm
from rigs.overview.listing import live_view, put_contents, put_covers, rig_rows
from rigs.overview.parts import addresses
from rigs.places import RIG_LAYERS, RIG_ROWS, RIG_TOP
from rigs.retire.views import retire_or_restore_part
from rigs.revisions.record import create


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    return page_of_rigs(request, rig_rows(request.production))


def page_of_rigs(request: ProductionRequest, rows: list[Rig], **more: Any) -> HttpResponse:
    """`rows` as `rig_rows` has them, under a heading."""
    in_use = [row for row in rows if not row.retired]
    put_covers(in_use)
    put_contents(in_use)
    context = {
        "rigs": in_use,
        "retired": [row for row in rows if row.retired],
        **more,
        "panels": RIG_ROWS.call(request, in_use),
        "active_nav": "rigs",
    }
    return render(request, "rigs/overview/index.html", context)


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    view, signed = live_view(rig)
    # An id that is no scene of this rig any more draws the path as it is wired.
    scene = view.scene(request.GET.get("scene", ""))
    context = {
        "rig": rig,
        "view": view,
        "scene": scene,
        "stands": view.played(scenes=[scene.id]) if scene else None,
        "signed": signed,
        "newest": Revision.objects.filter(rig=rig, number=rig.head_number).first(),
        "research": [] if guest_of(request) else for_player(rig.player),
        "layers": RIG_LAYERS.call(request, rig),
        "top": RIG_TOP.call(request, rig),
        "parts": addresses(request.production.pk, rig.pk),
        "active_nav": "rigs",
    }
    return render(request, "rigs/overview/rig.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def new(request: ProductionRequest) -> HttpResponse:
    form = NewRigForm(request.production, posted(request))
    if form.is_bound and form.is_valid():
        create(form.instance, author=request.user)
        messages.success(
            request,
            _("“{rig}” is on file. Now add what the player plays.").format(rig=form.instance),
        )
        return redirect(after_saving(request, form, form.instance.get_absolute_url()))
    cancel = reverse("rigs:index", args=[request.production.pk])
    return form_page(
        request,
        form,
        heading=_("Add a rig"),
        cancel_url=cancel,
        active_nav="rigs",
        template="rigs/overview/new.html",
        offer_another=True,
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def edit(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    return change_page(
        request,
        RigForm(rig, rig, posted(request)),
        heading=_("About this rig"),
        done_url=rig.get_absolute_url(),
        success=_("“{name}” is saved.").format(name=rig),
        retire_url=address(rig, "retire"),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def copy(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    form = CopyRigForm(rig, posted(request))
    if form.is_bound and form.is_valid():
        made = copy_rig(rig=rig, author=request.user, **form.cleaned_data)
        messages.success(
            request,
            _("“{copy}” is a copy of “{rig}” from here on its own.").format(copy=made, rig=rig),
        )
        return redirect(made)
    return form_page(
        request,
        form,
        heading=_("Copy “{rig}”").format(rig=rig),
        cancel_url=rig.get_absolute_url(),
        active_nav="rigs",
        submit=_("Copy"),
        lede=_(
            "Every unit, control, cable, input and photo comes along; the copy then goes its own "
            "way, and says where it came from."
        ),
    )


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_RIG)
def retire(request: ProductionRequest, rig_id: UUID) -> HttpResponse:
    rig = find_rig(request, rig_id)
    return retire_or_restore_part(
        request,
        rig,
        rig,
        edit_url=address(rig, "edit"),
        done_url=reverse("rigs:index", args=[request.production.pk]),
        back_url=rig.get_absolute_url(),
    )
