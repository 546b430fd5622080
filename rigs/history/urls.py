"""Addresses of a rig's history and photos, included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, path

from rigs.history import views as history
from rigs.photos import views as photos

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"
_PHOTO = f"{_RIG}/photos/<uuid:photo_id>"

urlpatterns: list[URLPattern] = [
    path(f"{_RIG}/history/", history.history, name="history"),
    path(f"{_RIG}/history/<int:number>/", history.revision, name="revision"),
    path(f"{_RIG}/history/<int:number>/restore/", history.restore, name="restore"),
    path(f"{_RIG}/compare/", history.compare, name="compare"),
    path(f"{_RIG}/photos/new/", photos.new, name="photo_new"),
    path(f"{_PHOTO}/edit/", photos.edit, name="photo_edit"),
    path(f"{_PHOTO}/retire/", photos.retire, name="photo_retire"),
    path(f"{_PHOTO}/file/", photos.photo_file, name="photo_file"),
]
