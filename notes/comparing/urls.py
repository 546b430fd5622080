"""Addresses of clips side by side, and of clips tied to changes, trials and signatures."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from notes.comparing import evidence_views, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/clips/compare/", views.compare, name="compare"),
    path("p/<uuid:production>/clips/compare/gains/", views.gains, name="compare_gains"),
    path(
        "p/<uuid:production>/clips/compare/sound/<int:number>/", views.sound, name="compare_sound"
    ),
    path(
        "p/<uuid:production>/rigs/<uuid:rig_id>/changes/<int:number>/clips/",
        evidence_views.of_change,
        name="change_clips",
    ),
    path(
        "p/<uuid:production>/trials/alternatives/<uuid:alternative_id>/clips/",
        evidence_views.of_alternative,
        name="alternative_clips",
    ),
]
