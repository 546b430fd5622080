"""Addresses of two captures of one source. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.views import captures

urlpatterns = [path("p/<uuid:production>/captures/", captures.captures, name="captures")]
