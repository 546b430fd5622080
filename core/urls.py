"""All addresses. Pages hang below /p/<production>/, the API below /api/."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
