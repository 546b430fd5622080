"""Addresses of lists and of what is printed. Included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.views import lists, paper

urlpatterns = [
    path("p/<uuid:production>/inputs/", lists.inputs, name="input_list"),
    path("p/<uuid:production>/inputs/number/", lists.number, name="input_numbers"),
    path("p/<uuid:production>/inputs.<str:format>", lists.inputs_file, name="input_list_file"),
    path("p/<uuid:production>/pack/", lists.pack_list, name="pack_list"),
    path("p/<uuid:production>/pack.<str:format>", lists.pack_file, name="pack_list_file"),
    path("p/<uuid:production>/case/", lists.case, name="case"),
    path("p/<uuid:production>/labels.pdf", paper.labels, name="labels"),
    path("p/<uuid:production>/rigs/<uuid:rig>/recall.pdf", paper.recall, name="recall"),
]
