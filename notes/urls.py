from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import alternatives, because, changes, follow, notes, sessions, trials

app_name = "notes"

note_urls = [
    path("", notes.index, name="index"),
    path("sessions/new/", sessions.new, name="session_new"),
    path("sessions/<uuid:session>/", sessions.session, name="session"),
    path("sessions/<uuid:session>/edit/", sessions.edit, name="session_edit"),
    path("<uuid:note>/", notes.note, name="note"),
    path("<uuid:note>/edit/", notes.edit, name="note_edit"),
    path("<uuid:note>/settle/", notes.settle, name="note_settle"),
    path("<uuid:note>/change/", because.pick, name="note_change"),
    path("<uuid:note>/change/inputs/<uuid:input>/", because.input, name="note_change_input"),
    path(
        "<uuid:note>/change/controls/<uuid:control>/",
        because.control,
        name="note_change_control",
    ),
    path("<uuid:note>/follow/<int:number>/", follow.follow, name="note_follow"),
]

trial_urls = [
    path("", trials.index, name="trials"),
    path("<uuid:trial>/", trials.trial, name="trial"),
    path("<uuid:trial>/keep/", trials.keep, name="trial_keep"),
    path("<uuid:trial>/alternatives/new/", alternatives.new, name="trial_alternative_new"),
    path(
        "alternatives/<uuid:alternative>/verdict/",
        alternatives.verdict,
        name="alternative_verdict",
    ),
    path("alternatives/<uuid:alternative>/choose/", alternatives.choose, name="trial_choose"),
]

rig_urls = [
    path("notes/new/", notes.new, name="note_new"),
    path("inputs/<uuid:input>/trials/new/", trials.new, name="trial_new"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/notes/", include(note_urls)),
    path("p/<uuid:production>/trials/", include(trial_urls)),
    path("p/<uuid:production>/rigs/<uuid:rig>/", include(rig_urls)),
    path("p/<uuid:production>/changes/", changes.index, name="changes"),
    path("", include("notes.urls_signing")),
    path("", include("notes.urls_handover")),
    path("", include("notes.urls_published")),
    path("", include("notes.urls_clips")),
    path("", include("notes.urls_compare")),
    path("", include("notes.urls_blind")),
    path("", include("notes.urls_captures")),
    path("", include("notes.urls_linecheck")),
    path("", include("notes.urls_timeline")),
]
