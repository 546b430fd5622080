"""The catalogue of microphones and DIs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from uuid import UUID

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.kept.shelf import Shelf
from core.models import Production
from core.views.another import after_saving
from core.views.pages import form_page, posted, retire_or_restore
from rigs.inputs.devices import DeviceForm
from rigs.models import Device


@require_safe
@production_view(Action.READ)
def index(request: ProductionRequest) -> HttpResponse:
    told = partial(_told, request.production)
    kept = Shelf(request.production.pk).get("devices", [get_language()], told)
    context = kept | {"active_nav": "devices"}
    return render(request, "rigs/inputs/devices.html", context)


def _told(production: Production) -> dict[str, str | int]:
    """The rows as everybody sees them: of what is in the cases, and of what is retired."""
    in_use = Count("inputs", filter=Q(inputs__retired=False, inputs__rig__retired=False))
    devices = production.devices.annotate(use_count=in_use).order_by("form", "maker", "name")
    retired = [device for device in devices if device.is_retired]
    return {
        "devices": _rows([device for device in devices if not device.is_retired]),
        "retired": _rows(retired),
        "retired_count": len(retired),
    }


def _rows(devices: Sequence[Device]) -> str:
    """Nothing at all where there are none."""
    return render_to_string("rigs/inputs/_device_rows.html", {"devices": devices}).strip()


@require_safe
@production_view(Action.READ)
def page(request: ProductionRequest, device_id: UUID) -> HttpResponse:
    device = _device(request, device_id)
    uses = device.inputs.filter(retired=False, rig__retired=False).select_related("rig__player")
    context = {
        "device": device,
        "uses": uses.order_by("rig__player__position", "rig__name", "position", "number"),
        "active_nav": "devices",
    }
    return render(request, "rigs/inputs/device.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_DEVICES)
def new(request: ProductionRequest) -> HttpResponse:
    cancel = reverse("rigs:devices", args=[request.production.pk])
    device = Device(production=request.production)
    return _edit(request, device, _("Add a microphone or DI"), cancel, offer_another=True)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_DEVICES)
def edit(request: ProductionRequest, device_id: UUID) -> HttpResponse:
    device = _device(request, device_id)
    retire_url = reverse("rigs:device_retire", args=[request.production.pk, device.pk])
    return _edit(
        request,
        device,
        _("About {device}").format(device=device),
        _url(device),
        retire_url=retire_url,
        item=device,
    )


def _edit(
    request: ProductionRequest, device: Device, heading: str, back: str, **more: object
) -> HttpResponse:
    form = DeviceForm(posted(request), instance=device)
    if form.try_save():
        messages.success(request, _("{device} is saved.").format(device=device))
        return redirect(after_saving(request, form, _url(device)))
    return form_page(request, form, heading=heading, cancel_url=back, active_nav="devices", **more)


@require_POST
@production_view(Action.EDIT_DEVICES)
def retire(request: ProductionRequest, device_id: UUID) -> HttpResponse:
    device = _device(request, device_id)
    return retire_or_restore(request, device, _url(device))


def _device(request: ProductionRequest, device_id: UUID) -> Device:
    return get_object_or_404(request.production.devices, pk=device_id)


def _url(device: Device) -> str:
    return reverse("rigs:device", args=[device.production_id, device.pk])
