"""Addresses of voice memos. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from notes.memos import views

urlpatterns: list[URLPattern | URLResolver] = [
    path(
        "p/<uuid:production>/notes/memos/<uuid:note_memo_id>/sound/",
        views.sound,
        name="note_memo_sound",
    ),
    path(
        "p/<uuid:production>/notes/memos/<uuid:note_memo_id>/sound/instead/",
        views.instead,
        name="note_memo_instead",
    ),
]
