"""Addresses of the lists of one show. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.shows import finding_views, hire_views, player_views, views

_SHOW = "p/<uuid:production>/shows/<uuid:show_id>"
_INPUT = f"{_SHOW}/inputs/<uuid:input_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/inputs/", views.inputs, name="show_inputs"),
    path(f"{_SHOW}/inputs.<str:format>", views.inputs_file, name="show_inputs_file"),
    path(f"{_INPUT}/", views.edit_input, name="show_input"),
    path(f"{_INPUT}/as-listed/", views.input_as_listed, name="show_input_as_listed"),
    path(f"{_SHOW}/playing/", views.playing, name="show_playing"),
    path(f"{_SHOW}/rigs/", views.rigs, name="show_rigs"),
    path(f"{_SHOW}/players/", player_views.players, name="show_players"),
    path(f"{_SHOW}/players/<uuid:player_id>/dep/", player_views.dep, name="show_dep"),
    path(f"{_SHOW}/findings/", finding_views.findings, name="show_findings"),
    path(f"{_SHOW}/findings/accept/", finding_views.accept, name="show_finding_accept"),
    path(f"{_SHOW}/pack/", hire_views.pack, name="show_pack"),
    path(f"{_SHOW}/pack.<str:format>", hire_views.pack_file, name="show_pack_file"),
    path(f"{_SHOW}/hires/new/", hire_views.new, name="hire_new"),
    path(f"{_SHOW}/hires/<uuid:hire_id>/", hire_views.edit, name="hire_edit"),
    path(f"{_SHOW}/hires/<uuid:hire_id>/remove/", hire_views.remove, name="hire_remove"),
]
