"""Addresses of what a device stores and of its queue. Included by core.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from core.languages import scripts
from core.views import offline

urlpatterns: list[URLPattern | URLResolver] = [
    path(scripts.ROUTE, scripts.words, name="words"),
    path("sw.js", offline.worker, name="worker"),
    path("offline/who/", offline.who, name="who"),
    path("kept/", offline.stored, name="kept"),
    path("waiting/", offline.waiting, name="waiting"),
    path("not-kept/", offline.not_stored, name="not_kept"),
]
