"""Addresses of the API in notes."""

from __future__ import annotations

from django.urls import path

from notes.api import changes, clips, evidence, views
from notes.handover import api as handovers

PRODUCTION = "productions/<uuid:production>"

urlpatterns = [
    path(f"{PRODUCTION}/revisions/", changes.Revisions.as_view(), name="api-revisions"),
    path(f"{PRODUCTION}/changes/", changes.Changes.as_view(), name="api-changes"),
    path(f"{PRODUCTION}/notes/", views.Notes.as_view(), name="api-notes"),
    path("notes/<uuid:note>/", views.OneNote.as_view(), name="api-note"),
    path(f"{PRODUCTION}/handovers/", handovers.Handovers.as_view(), name="api-handovers"),
    path("handovers/<uuid:published>/", handovers.OneHandover.as_view(), name="api-handover"),
    path(
        "handovers/<uuid:published>/reading/",
        handovers.Reading.as_view(),
        name="api-handover-reading",
    ),
    path(
        "handovers/<uuid:published>/questions/",
        handovers.Questions.as_view(),
        name="api-handover-questions",
    ),
    path("questions/<uuid:question>/answers/", handovers.Answers.as_view(), name="api-answers"),
    path(f"{PRODUCTION}/clips/", clips.Clips.as_view(), name="api-clips"),
    path(f"{PRODUCTION}/comparison/", evidence.Comparison.as_view(), name="api-comparison"),
    path(f"{PRODUCTION}/blind-trials/", evidence.BlindTrials.as_view(), name="api-blind-trials"),
    path(f"{PRODUCTION}/captures/", evidence.Captures.as_view(), name="api-captures"),
    path("clips/<uuid:clip>/", clips.OneClip.as_view(), name="api-clip"),
    path("clips/<uuid:clip>/sound/<str:copy>/", clips.Sound.as_view(), name="api-clip-sound"),
    path(f"{PRODUCTION}/sign-offs/", views.SignOffs.as_view(), name="api-sign-offs"),
    path("rigs/<uuid:rig>/sign-offs/", views.RigSignOffs.as_view(), name="api-rig-sign-offs"),
]
