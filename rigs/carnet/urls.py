"""Addresses of the carnet list. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.carnet import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/carnet/", views.page, name="carnet"),
    path("p/<uuid:production>/carnet/goods/new/", views.new, name="carnet_goods_new"),
    path("p/<uuid:production>/carnet/goods/<uuid:goods_id>/", views.edit, name="carnet_goods"),
    path(
        "p/<uuid:production>/carnet/goods/<uuid:goods_id>/retire/",
        views.retire,
        name="carnet_goods_retire",
    ),
    path("p/<uuid:production>/carnet.<str:format>", views.file, name="carnet_file"),
]
