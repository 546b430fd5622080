"""Addresses of the check of knobs. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.knob_check import circle_views, pair_views, views

_SHOW = "p/<uuid:production>/shows/<uuid:show_id>"
_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"
_CHECK = f"{_RIG}/checks/<uuid:check_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_SHOW}/panels/", views.at_show, name="show_panels"),
    path(f"{_RIG}/checks/", views.of_rig, name="knob_checks"),
    path(f"{_RIG}/photos/<uuid:photo_id>/check/", views.against, name="knob_check"),
    path(f"{_RIG}/photos/<uuid:photo_id>/circles/", circle_views.circles, name="circles"),
    path(
        f"{_RIG}/photos/<uuid:photo_id>/circles/propose/",
        circle_views.propose,
        name="circle_propose",
    ),
    path(
        f"{_RIG}/photos/<uuid:photo_id>/laid/<uuid:other_photo_id>/",
        pair_views.laid,
        name="photos_laid",
    ),
    path(f"{_CHECK}/", views.one, name="knob_checked"),
    path(f"{_CHECK}/confirm/", views.say_as_documented, name="knob_confirm"),
    path(f"{_CHECK}/throw-away/", views.discard, name="knob_throw_away"),
    path(f"{_CHECK}/turn-back/", views.turn_back, name="knob_turn_back"),
    path(f"{_CHECK}/picture/", views.picture, name="knob_picture"),
    path(f"{_RIG}/controls/<uuid:control_id>/take-over/", views.take_over, name="knob_take_over"),
]
