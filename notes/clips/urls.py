"""Addresses of clips. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.clips import upload_views
from notes.clips import views as clip_sound
from notes.clips import views as clips

clip_urls: list[URLPattern | URLResolver] = [
    path("", clips.index, name="clips"),
    path("<uuid:clip_id>/", clips.clip, name="clip"),
    path("<uuid:clip_id>/edit/", clips.edit, name="clip_edit"),
    path("<uuid:clip_id>/retire/", clips.retire, name="clip_retire"),
    path("<uuid:clip_id>/sound/<str:copy>/", clip_sound.sound, name="clip_sound"),
]

rig_urls: list[URLPattern | URLResolver] = [
    path("new/", upload_views.new, name="clip_new"),
    path("new/<int:sound>/", upload_views.cut, name="clip_cut"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/clips/", include(clip_urls)),
    path("p/<uuid:production>/rigs/<uuid:rig_id>/clips/", include(rig_urls)),
]
