from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.journal import change_views, quick_views, session_views
from notes.journal import views as notes
from notes.trials import alternative_views
from notes.trials import views as trials

app_name = "notes"

note_urls = [
    path("", notes.index, name="index"),
    path("new/", quick_views.start, name="note_start"),
    path("sessions/new/", session_views.new, name="session_new"),
    path("sessions/<uuid:session_id>/", session_views.session, name="session"),
    path("sessions/<uuid:session_id>/edit/", session_views.edit, name="session_edit"),
    path("<uuid:note_id>/", notes.note, name="note"),
    path("<uuid:note_id>/edit/", notes.edit, name="note_edit"),
    path("<uuid:note_id>/words/", notes.write_out, name="note_write_out"),
    path("<uuid:note_id>/settle/", notes.settle, name="note_settle"),
    path("<uuid:note_id>/change/", change_views.pick, name="note_change"),
    path(
        "<uuid:note_id>/change/inputs/<uuid:input_id>/",
        change_views.input,
        name="note_change_input",
    ),
    path(
        "<uuid:note_id>/change/controls/<uuid:control_id>/",
        change_views.control,
        name="note_change_control",
    ),
    path("<uuid:note_id>/follow/<int:number>/", change_views.follow, name="note_follow"),
]

trial_urls = [
    path("", trials.index, name="trials"),
    path("<uuid:trial_id>/", trials.trial, name="trial"),
    path("<uuid:trial_id>/keep/", trials.keep, name="trial_keep"),
    path("<uuid:trial_id>/alternatives/new/", alternative_views.new, name="trial_alternative_new"),
    path(
        "alternatives/<uuid:alternative_id>/verdict/",
        alternative_views.verdict,
        name="alternative_verdict",
    ),
    path(
        "alternatives/<uuid:alternative_id>/choose/", alternative_views.choose, name="trial_choose"
    ),
]

rig_urls = [
    path("notes/new/", notes.new, name="note_new"),
    path("inputs/<uuid:input_id>/trials/new/", trials.new, name="trial_new"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/notes/", include(note_urls)),
    path("p/<uuid:production>/trials/", include(trial_urls)),
    path("p/<uuid:production>/rigs/<uuid:rig_id>/", include(rig_urls)),
    path("p/<uuid:production>/changes/", change_views.index, name="changes"),
    path("", include("notes.signing.urls")),
    path("", include("notes.handover.urls")),
    path("", include("notes.photos.urls")),
    path("", include("notes.memos.urls")),
    path("", include("notes.clips.urls")),
    path("", include("notes.takes.urls")),
    path("", include("notes.comparing.urls")),
    path("", include("notes.blind.urls")),
    path("", include("notes.captures.urls")),
    path("", include("notes.causes.urls")),
    path("", include("notes.linecheck.urls")),
    path("", include("notes.monitors.urls")),
    path("", include("notes.timeline.urls")),
    path("", include("notes.forgetting.urls")),
]
