"""Addresses of the mains of a show. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.mains import views

_SHOW = "p/<uuid:production>/shows/<uuid:show_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/mains/", views.page, name="show_mains"),
    path(f"{_SHOW}/mains.<str:format>", views.file, name="show_mains_file"),
]
