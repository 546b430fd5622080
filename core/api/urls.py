"""Addresses of the API in core."""

from __future__ import annotations

from django.urls import path

from core.api import views
from core.api.schema import Schema
from core.guests import api as guests
from core.proof import api as proof

urlpatterns = [
    path("schema/", Schema.as_view(), name="api-schema"),
    path("productions/", views.Productions.as_view(), name="api-productions"),
    path("productions/<uuid:production>/", views.OneProduction.as_view(), name="api-production"),
    path("productions/<uuid:production>/players/", views.Players.as_view(), name="api-players"),
    path("productions/<uuid:production>/legs/", views.Legs.as_view(), name="api-legs"),
    path("productions/<uuid:production>/shows/", views.Shows.as_view(), name="api-shows"),
    path("productions/<uuid:production>/songs/", views.Songs.as_view(), name="api-songs"),
    path(
        "productions/<uuid:production>/guest-links/",
        guests.GuestLinks.as_view(),
        name="api-guest-links",
    ),
    path(
        "productions/<uuid:production>/guest-links/<uuid:guest_link>/",
        guests.OneGuestLink.as_view(),
        name="api-guest-link",
    ),
    path(
        "productions/<uuid:production>/checkpoint/",
        proof.NewestCheckpoint.as_view(),
        name="api-checkpoint",
    ),
    path(
        "productions/<uuid:production>/checkpoint/grew/",
        proof.Grew.as_view(),
        name="api-checkpoint-grew",
    ),
    path(
        "productions/<uuid:production>/checkpoint/entry/",
        proof.EntryProof.as_view(),
        name="api-checkpoint-entry",
    ),
    path("productions/<uuid:production>/search/", views.Search.as_view(), name="api-search"),
]
