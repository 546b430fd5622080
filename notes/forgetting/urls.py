"""Addresses of what is held of somebody, and of forgetting. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from notes.forgetting import file_views, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("account/held/", views.held, name="held"),
    path("account/held.json", views.held_json, name="held_json"),
    path("account/held/ask/", views.ask, name="held_ask"),
    path("p/<uuid:production>/people/left/", views.left, name="left"),
    path(
        "p/<uuid:production>/people/<uuid:person_id>/forget/",
        views.forget_member,
        name="forget_member",
    ),
    path("p/<uuid:production>/shared/forget/", views.forget_guest, name="forget_guest"),
    path(
        "p/<uuid:production>/players/<uuid:player_id>/forget/",
        views.forget_player,
        name="forget_player",
    ),
    path(
        "p/<uuid:production>/pictures/<uuid:image_id>/remove/",
        file_views.picture,
        name="remove_picture",
    ),
    path(
        "p/<uuid:production>/clips/<uuid:clip_id>/remove/",
        file_views.recording,
        name="remove_recording",
    ),
]
