"""Addresses of long recordings and their takes. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.takes import views

recording_urls = [
    path("", views.recording, name="recording"),
    path("edit/", views.edit, name="recording_edit"),
    path("takes/new/", views.take_new, name="take_new"),
]

take_urls = [
    path("", views.take, name="take"),
    path("split/", views.take_split, name="take_split"),
    path("join/", views.take_join, name="take_join"),
    path("out/", views.take_out, name="take_out"),
    path("clip/", views.take_clip, name="take_clip"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/recordings/", views.index, name="recordings"),
    path("p/<uuid:production>/recordings/new/", views.new, name="recording_new"),
    path("p/<uuid:production>/recordings/<uuid:recording_id>/", include(recording_urls)),
    path("p/<uuid:production>/takes/<uuid:take_id>/", include(take_urls)),
]
