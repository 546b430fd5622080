"""Addresses of spares and what is changed at intervals. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.upkeep import views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"
_SPARE = f"{_RIG}/spares/<uuid:spare_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/upkeep/", views.due, name="upkeep"),
    path(f"{_RIG}/units/<uuid:unit_id>/spares/new/", views.new, name="spare_new"),
    path(f"{_SPARE}/", views.page, name="spare"),
    path(f"{_SPARE}/edit/", views.edit, name="spare_edit"),
    path(f"{_SPARE}/retire/", views.retire, name="spare_retire"),
    path(f"{_SPARE}/done/", views.done, name="spare_done"),
    path(f"{_SPARE}/done/<uuid:entry_id>/undo/", views.undo, name="spare_undo"),
]
