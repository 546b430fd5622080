"""Addresses of the sets of shows. Included by core.urls_core."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from core.sets import paste_views, views

_SHOW = "p/<uuid:production>/shows/<uuid:show_id>/set"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/", views.edit, name="show_set"),
    path(f"{_SHOW}/history/", views.history, name="show_set_history"),
    path(f"{_SHOW}/history/<int:number>/", views.again, name="show_set_again"),
    path(f"{_SHOW}/take/", views.take, name="show_set_take"),
    path(f"{_SHOW}/leg/", views.for_leg, name="show_set_leg"),
    path(f"{_SHOW}/paste/", paste_views.paste, name="show_set_paste"),
]
