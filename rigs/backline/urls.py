"""Addresses of the backline specification. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.backline import views

_SHOW = "p/<uuid:production>/shows/<uuid:show_id>/backline"
_LEG = "p/<uuid:production>/legs/<uuid:leg_id>/backline"
_LINE = "p/<uuid:production>/backline/<uuid:line_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/", views.of_show, name="show_backline"),
    path(f"{_SHOW}.<str:format>", views.file_of_show, name="show_backline_file"),
    path(f"{_SHOW}/begin/", views.begin_for_show, name="show_backline_begin"),
    path(f"{_SHOW}/changes/", views.history_of_show, name="show_backline_history"),
    path(f"{_SHOW}/new/", views.new_for_show, name="show_backline_new"),
    path(f"{_SHOW}/<uuid:line_id>/", views.answer, name="backline_answer"),
    path(f"{_LEG}/", views.of_leg, name="leg_backline"),
    path(f"{_LEG}.<str:format>", views.file_of_leg, name="leg_backline_file"),
    path(f"{_LEG}/begin/", views.begin_for_leg, name="leg_backline_begin"),
    path(f"{_LEG}/changes/", views.history_of_leg, name="leg_backline_history"),
    path(f"{_LEG}/new/", views.new_for_leg, name="leg_backline_new"),
    path(f"{_LINE}/", views.edit, name="backline_line"),
    path(f"{_LINE}/retire/", views.retire, name="backline_retire"),
]
