"""Addresses of a clip against the signed sound, and of causes. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.causes import views

urlpatterns = [
    path(
        "p/<uuid:production>/clips/<uuid:clip_id>/changed/",
        views.clip_changed,
        name="clip_changed",
    ),
    path("p/<uuid:production>/causes/", views.causes, name="causes"),
    path("p/<uuid:production>/causes/<uuid:cause_id>/", views.cause, name="cause"),
]
