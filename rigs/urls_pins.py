"""Addresses of pins on photos, and of two photos side by side. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.views import photo_pairs, pins

_RIG = "p/<uuid:production>/rigs/<uuid:rig>"
_PHOTO = f"{_RIG}/photos/<uuid:photo>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_PHOTO}/", pins.photo, name="photo"),
    path(f"{_PHOTO}/beside/", photo_pairs.beside, name="photos_beside"),
    path(f"{_PHOTO}/pins/new/", pins.new, name="pin_new"),
    path(f"{_PHOTO}/pins/order/", pins.order, name="pins_order"),
    path(f"{_RIG}/pins/<uuid:pin>/edit/", pins.edit, name="pin_edit"),
    path(f"{_RIG}/pins/<uuid:pin>/retire/", pins.retire, name="pin_retire"),
]
