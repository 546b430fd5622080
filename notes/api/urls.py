"""Addresses of the API in notes."""

from __future__ import annotations

from django.urls import path

from notes.blind import api as blind
from notes.captures import api as captures
from notes.causes import api as causes
from notes.clips import api as clips
from notes.comparing import api as comparing
from notes.forgetting import api as forgetting
from notes.handover import api as handovers
from notes.journal import api as journal
from notes.journal import changes_api as changes
from notes.memos import api as memos
from notes.monitors import api as monitors
from notes.photos import api as photos
from notes.signing import api as signing
from notes.takes import api as takes

PRODUCTION = "productions/<uuid:production>"

urlpatterns = [
    path(f"{PRODUCTION}/revisions/", changes.Revisions.as_view(), name="api-revisions"),
    path(f"{PRODUCTION}/changes/", changes.Changes.as_view(), name="api-changes"),
    path(f"{PRODUCTION}/notes/", journal.Notes.as_view(), name="api-notes"),
    path("notes/<uuid:note>/", journal.OneNote.as_view(), name="api-note"),
    path("notes/<uuid:note>/photos/", photos.NotePhotos.as_view(), name="api-note-photos"),
    path(
        "note-photos/<uuid:note_photo>/file/",
        photos.NotePhotoFile.as_view(),
        name="api-note-photo-file",
    ),
    path(
        "note-memos/<uuid:note_memo>/sound/",
        memos.NoteMemoSound.as_view(),
        name="api-note-memo-sound",
    ),
    path(f"{PRODUCTION}/handovers/", handovers.Handovers.as_view(), name="api-handovers"),
    path("handovers/<uuid:published>/", handovers.OneHandover.as_view(), name="api-handover"),
    path(
        "handovers/<uuid:published>/reading/",
        handovers.ReadersOfHandover.as_view(),
        name="api-handover-reading",
    ),
    path(
        "handovers/<uuid:published>/questions/",
        handovers.Questions.as_view(),
        name="api-handover-questions",
    ),
    path("questions/<uuid:question>/answers/", handovers.Answers.as_view(), name="api-answers"),
    path("me/held/", forgetting.Held.as_view(), name="api-held"),
    path(f"{PRODUCTION}/clips/", clips.Clips.as_view(), name="api-clips"),
    path(f"{PRODUCTION}/recordings/", takes.Recordings.as_view(), name="api-recordings"),
    path("recordings/<uuid:recording>/", takes.OneRecording.as_view(), name="api-recording"),
    path("takes/<uuid:take>/", takes.OneTake.as_view(), name="api-take"),
    path("takes/<uuid:take>/clips/", takes.ClipsOfTake.as_view(), name="api-take-clips"),
    path(f"{PRODUCTION}/comparison/", comparing.Comparison.as_view(), name="api-comparison"),
    path(f"{PRODUCTION}/blind-trials/", blind.BlindTrials.as_view(), name="api-blind-trials"),
    path(f"{PRODUCTION}/monitor-mixes/", monitors.Mixes.as_view(), name="api-mixes"),
    path(f"{PRODUCTION}/monitor-mixes/<uuid:mix>/", monitors.OneMix.as_view(), name="api-mix"),
    path(f"{PRODUCTION}/mix-wishes/", monitors.MixWishes.as_view(), name="api-mix-wishes"),
    path(
        f"{PRODUCTION}/mix-wishes/<uuid:wish>/", monitors.OneMixWish.as_view(), name="api-mix-wish"
    ),
    path(f"{PRODUCTION}/captures/", captures.Captures.as_view(), name="api-captures"),
    path("clips/<uuid:clip>/changed/", causes.ChangedClip.as_view(), name="api-clip-changed"),
    path(f"{PRODUCTION}/causes/", causes.Causes.as_view(), name="api-causes"),
    path(
        "causes/<uuid:cause>/outcomes/",
        causes.OutcomesOfCause.as_view(),
        name="api-cause-outcomes",
    ),
    path("clips/<uuid:clip>/", clips.OneClip.as_view(), name="api-clip"),
    path("clips/<uuid:clip>/sound/<str:copy>/", clips.Sound.as_view(), name="api-clip-sound"),
    path(f"{PRODUCTION}/sign-offs/", signing.SignOffs.as_view(), name="api-sign-offs"),
    path("rigs/<uuid:rig>/sign-offs/", signing.RigSignOffs.as_view(), name="api-rig-sign-offs"),
]
