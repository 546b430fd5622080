"""Addresses of spares and what is changed at intervals. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.views import upkeep

_RIG = "p/<uuid:production>/rigs/<uuid:rig>"
_SPARE = f"{_RIG}/spares/<uuid:spare>"

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/upkeep/", upkeep.due, name="upkeep"),
    path(f"{_RIG}/units/<uuid:unit>/spares/new/", upkeep.new, name="spare_new"),
    path(f"{_SPARE}/", upkeep.page, name="spare"),
    path(f"{_SPARE}/edit/", upkeep.edit, name="spare_edit"),
    path(f"{_SPARE}/retire/", upkeep.retire, name="spare_retire"),
    path(f"{_SPARE}/done/", upkeep.done, name="spare_done"),
    path(f"{_SPARE}/done/<uuid:entry>/undo/", upkeep.undo, name="spare_undo"),
]
