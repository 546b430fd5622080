"""Addresses of importing an input list, for a production or for one show. Included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.list_import import views

urlpatterns = [
    path("p/<uuid:production>/inputs/bring/", views.upload, name="list_import_new"),
    path("p/<uuid:production>/inputs/bring/<uuid:import_id>/", views.look, name="list_import"),
    path(
        "p/<uuid:production>/shows/<uuid:show_id>/inputs/bring/",
        views.upload_for_show,
        name="show_list_import",
    ),
]
