"""Addresses of the installed app on a telephone. Included by core.urls_core."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from core.telephone import views
from core.telephone.manifest import manifest

urlpatterns: list[URLPattern | URLResolver] = [
    path("manifest.webmanifest", manifest, name="manifest"),
    path("incoming/", views.incoming, name="incoming"),
    path("incoming/shared/", views.not_taken, name="incoming_not_taken"),
    path("go/<slug:shortcut>/", views.go, name="go"),
]
