"""The address of a clip against the signed sound. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.causes import views

urlpatterns = [
    path(
        "p/<uuid:production>/clips/<uuid:clip_id>/changed/",
        views.clip_changed,
        name="clip_changed",
    ),
]
