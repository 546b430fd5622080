"""Addresses of handovers: the working copy of each leg, and what is published. In notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.handover import published_views, reminder_views, talk_views, views

leg_urls = [
    path("", views.handover, name="handover"),
    path("keep/", views.keep, name="handover_keep"),
    path("edit/", views.edit, name="handover_edit"),
    path("read/", talk_views.acknowledge, name="acknowledge"),
    path("ask/", talk_views.ask, name="ask"),
    path("publish/", published_views.new, name="publish"),
    path("reminders/", reminder_views.reminders, name="reminders"),
]

published_urls = [
    path("", published_views.published, name="published"),
    path("changes/", published_views.compare, name="published_compare"),
    path("handover.pdf", published_views.printed, name="published_pdf"),
    path("read/", talk_views.acknowledge_published, name="published_acknowledge"),
    path("ask/", talk_views.ask_published, name="published_ask"),
]

handover_urls: list[URLPattern | URLResolver] = [
    path("", views.handovers, name="handovers"),
    path("<uuid:leg_id>/", include(leg_urls)),
    path("published/<uuid:published_id>/", include(published_urls)),
    path("questions/<uuid:question_id>/answer/", talk_views.answer, name="answer"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/handovers/", include(handover_urls)),
]
