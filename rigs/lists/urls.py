"""Addresses of lists and of what is printed. Included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.lists import sheet_views, views

urlpatterns = [
    path("p/<uuid:production>/inputs/", views.inputs, name="input_list"),
    path("p/<uuid:production>/inputs/number/", views.number, name="input_numbers"),
    path("p/<uuid:production>/inputs.<str:format>", views.inputs_file, name="input_list_file"),
    path("p/<uuid:production>/pack/", views.pack_list, name="pack_list"),
    path("p/<uuid:production>/pack.<str:format>", views.pack_file, name="pack_list_file"),
    path("p/<uuid:production>/case/", views.case, name="case"),
    path("p/<uuid:production>/labels.pdf", sheet_views.labels, name="labels"),
    path("p/<uuid:production>/rigs/<uuid:rig_id>/recall.pdf", sheet_views.recall, name="recall"),
]
