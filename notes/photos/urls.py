"""Addresses of photos of notes. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from notes.photos import views

_NOTES = "p/<uuid:production>/notes"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_NOTES}/<uuid:note_id>/photos/new/", views.add, name="note_photos_new"),
    path(f"{_NOTES}/photos/<uuid:note_photo_id>/file/", views.file, name="note_photo_file"),
    path(f"{_NOTES}/photos/<uuid:note_photo_id>/remove/", views.remove, name="note_photo_remove"),
]
