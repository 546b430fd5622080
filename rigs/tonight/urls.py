"""Addresses of tonight's gear. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.tonight import say_views, views

_GEAR = "p/<uuid:production>/shows/<uuid:show_id>/gear"
_UNIT, _SAID = f"{_GEAR}/units/<uuid:unit_id>", f"{_GEAR}/said/<uuid:said_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_GEAR}/", views.gear, name="show_gear"),
    path(f"{_GEAR}/rigs/<uuid:rig_id>/", views.rig, name="rig_tonight"),
    path(f"{_GEAR}/rigs/<uuid:rig_id>/recall.pdf", views.recall, name="recall_tonight"),
    path(f"{_GEAR}/history/", views.history, name="show_gear_history"),
    path(f"{_GEAR}/carry/", say_views.carry_over, name="show_gear_carry"),
    path(f"{_UNIT}/set/", say_views.set_unit, name="unit_set_tonight"),
    path(f"{_UNIT}/replace/", say_views.replace_unit, name="unit_replaced_tonight"),
    path(f"{_UNIT}/documented/", say_views.documented, name="unit_as_documented"),
    path(f"{_SAID}/photo/", views.photo, name="tonight_photo"),
    path(f"{_SAID}/did/", say_views.did, name="substitute_did"),
    path(f"{_SAID}/permanent/", say_views.permanent, name="tonight_permanent"),
]
