"""Addresses of handovers. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import handover, handover_talk

handover_urls = [
    path("", handover.handovers, name="handovers"),
    path("<uuid:leg>/", handover.handover, name="handover"),
    path("<uuid:leg>/keep/", handover.keep, name="handover_keep"),
    path("<uuid:leg>/edit/", handover.edit, name="handover_edit"),
    path("<uuid:leg>/read/", handover_talk.acknowledge, name="acknowledge"),
    path("<uuid:leg>/ask/", handover_talk.ask, name="ask"),
    path("questions/<uuid:question>/answer/", handover_talk.answer, name="answer"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/handovers/", include(handover_urls)),
]
