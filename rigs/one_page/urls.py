"""Addresses of sheets of one page. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.one_page import views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"
_TONIGHT = "p/<uuid:production>/shows/<uuid:show_id>/gear/rigs/<uuid:rig_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_RIG}/page.pdf", views.player, name="player_page"),
    path(f"{_RIG}/kit.pdf", views.kit, name="kit_page"),
    path(
        "p/<uuid:production>/shows/<uuid:show_id>/gear/players.pdf",
        views.players_tonight,
        name="players_tonight",
    ),
    path(f"{_TONIGHT}/page.pdf", views.player_tonight, name="player_page_tonight"),
    path(f"{_TONIGHT}/kit.pdf", views.kit_tonight, name="kit_page_tonight"),
]
