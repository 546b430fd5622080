"""Addresses of changeovers. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.changeover import plan_views, views

_SHOW = "p/<uuid:production>/shows/<uuid:show_id>/changeover"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/", views.changeover, name="changeover"),
    path(f"{_SHOW}.pdf", views.paper, name="changeover_pdf"),
    path(f"{_SHOW}/live/", views.live, name="changeover_live"),
    path(f"{_SHOW}/clock/", views.clock, name="changeover_clock"),
    path(f"{_SHOW}/open-all/", views.open_again, name="changeover_open_all"),
    path(f"{_SHOW}/steps/<uuid:step_id>/", views.tick, name="changeover_tick"),
    path(f"{_SHOW}/plan/", plan_views.edit, name="changeover_plan"),
    path(f"{_SHOW}/plan/changes/", plan_views.history, name="changeover_history"),
    path(f"{_SHOW}/plan/take/", plan_views.take, name="changeover_take"),
    path(f"{_SHOW}/plan/first-steps/", plan_views.propose, name="changeover_propose"),
]
