"""Addresses of pins on photos, and of two photos side by side. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.photos import describe_views, pin_views, views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"
_PHOTO = f"{_RIG}/photos/<uuid:photo_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_RIG}/photos/describe/", describe_views.describe, name="photos_describe"),
    path(f"{_PHOTO}/", pin_views.photo, name="photo"),
    path(f"{_PHOTO}/beside/", views.beside, name="photos_beside"),
    path(f"{_PHOTO}/pins/new/", pin_views.new, name="pin_new"),
    path(f"{_PHOTO}/pins/order/", pin_views.order, name="pins_order"),
    path(f"{_RIG}/pins/<uuid:pin_id>/edit/", pin_views.edit, name="pin_edit"),
    path(f"{_RIG}/pins/<uuid:pin_id>/retire/", pin_views.retire, name="pin_retire"),
]
