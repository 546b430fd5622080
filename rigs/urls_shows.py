"""Addresses of the lists of one show. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.views import hires, shows

_SHOW = "p/<uuid:production>/shows/<uuid:show>"
_INPUT = f"{_SHOW}/inputs/<uuid:input>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/inputs/", shows.inputs, name="show_inputs"),
    path(f"{_SHOW}/inputs.<str:format>", shows.inputs_file, name="show_inputs_file"),
    path(f"{_INPUT}/", shows.edit_input, name="show_input"),
    path(f"{_INPUT}/as-listed/", shows.input_as_listed, name="show_input_as_listed"),
    path(f"{_SHOW}/rigs/", shows.rigs, name="show_rigs"),
    path(f"{_SHOW}/pack/", hires.pack, name="show_pack"),
    path(f"{_SHOW}/pack.<str:format>", hires.pack_file, name="show_pack_file"),
    path(f"{_SHOW}/hires/new/", hires.new, name="hire_new"),
    path(f"{_SHOW}/hires/<uuid:hire>/", hires.edit, name="hire_edit"),
    path(f"{_SHOW}/hires/<uuid:hire>/remove/", hires.remove, name="hire_remove"),
]
