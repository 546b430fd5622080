"""Addresses of published handovers. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import handover_talk, published, reminders

published_urls = [
    path("", published.published, name="published"),
    path("changes/", published.compare, name="published_compare"),
    path("handover.pdf", published.printed, name="published_pdf"),
    path("read/", handover_talk.acknowledge_published, name="published_acknowledge"),
    path("ask/", handover_talk.ask_published, name="published_ask"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/handovers/<uuid:leg>/publish/", published.new, name="publish"),
    path(
        "p/<uuid:production>/handovers/<uuid:leg>/reminders/", reminders.reminders, name="reminders"
    ),
    path("p/<uuid:production>/handovers/published/<uuid:published>/", include(published_urls)),
]
