"""Addresses of the patch, of all shows and of one. Included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.patch import box_views, views

_ALL = "p/<uuid:production>"
_SHOW = f"{_ALL}/shows/<uuid:show_id>"

urlpatterns = [
    path(f"{_ALL}/patch/", views.page, name="patch"),
    path(f"{_ALL}/patch.<str:format>", views.file, name="patch_file"),
    path(f"{_ALL}/patch/strips.pdf", views.strips, name="patch_strips"),
    path(f"{_ALL}/patch/fill/", views.fill, name="patch_fill"),
    path(f"{_ALL}/patch/read/", views.read_file, name="patch_read"),
    path(f"{_ALL}/patch/history/", views.history, name="patch_history"),
    path(f"{_ALL}/patch/inputs/<uuid:input_id>/", views.line, name="patch_line"),
    path(f"{_ALL}/patch/boxes/new/", box_views.new, name="patch_box_new"),
    path(f"{_ALL}/patch/boxes/<uuid:box_id>/", box_views.edit, name="patch_box"),
    path(f"{_ALL}/patch/boxes/<uuid:box_id>/retire/", box_views.retire, name="patch_box_retire"),
    path(f"{_ALL}/patch/boxes/<uuid:box_id>/run/", box_views.new_run, name="patch_run_new"),
    path(f"{_ALL}/patch/runs/<uuid:run_id>/remove/", box_views.end_run, name="patch_run_remove"),
    path(f"{_SHOW}/patch/", views.page, name="show_patch"),
    path(f"{_SHOW}/patch.<str:format>", views.file, name="show_patch_file"),
    path(f"{_SHOW}/patch/strips.pdf", views.strips, name="show_patch_strips"),
    path(f"{_SHOW}/patch/fill/", views.show_fill, name="show_patch_fill"),
    path(f"{_SHOW}/patch/read/", views.show_read_file, name="show_patch_read"),
    path(f"{_SHOW}/patch/history/", views.history, name="show_patch_history"),
    path(f"{_SHOW}/patch/inputs/<uuid:input_id>/", views.show_line, name="show_patch_line"),
    path(
        f"{_SHOW}/patch/inputs/<uuid:input_id>/as-usual/",
        views.line_as_usual,
        name="show_patch_line_as_usual",
    ),
    path(f"{_SHOW}/patch/boxes/<uuid:box_id>/", box_views.box_at_show, name="show_patch_box"),
    path(
        f"{_SHOW}/patch/boxes/<uuid:box_id>/as-usual/",
        box_views.box_usual,
        name="show_patch_box_as_usual",
    ),
    path(
        f"{_SHOW}/patch/questions/<uuid:guest_question_id>/answer/",
        views.answer_guest,
        name="show_patch_answer",
    ),
    path(f"{_SHOW}/patch/lent/new/", box_views.new_lent, name="show_lent_new"),
    path(f"{_SHOW}/patch/lent/<uuid:lent_id>/", box_views.edit_lent, name="show_lent"),
    path(f"{_SHOW}/patch/lent/<uuid:lent_id>/remove/", box_views.end_lent, name="show_lent_remove"),
]
