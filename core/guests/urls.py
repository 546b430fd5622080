"""Addresses of links for guests, and of what they open. Included by core.urls_core."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from core.guests import guest_views, views

_ALL = "p/<uuid:production>/shared"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_ALL}/", views.index, name="guest_links"),
    path(f"{_ALL}/new/<slug:kind>/<uuid:subject>/", views.new, name="share"),
    path(f"{_ALL}/<uuid:guest_link_id>/close/", views.close, name="guest_link_close"),
    path("g/<str:token>/", guest_views.page, name="guest"),
    path("g/<str:token>/keep.json", guest_views.keep, name="guest_keep"),
    path("g/<str:token>/<path:rest>", guest_views.page, name="guest_page"),
]
