"""Addresses of line checks and show reports. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.linecheck import views

show_urls = [
    path("line-check/", views.line_check, name="line_check"),
    path("line-check/finish/", views.finish, name="line_check_finish"),
    path("line-check/reopen/", views.reopen_check, name="line_check_reopen"),
    path("line-check/<uuid:input_id>/", views.line_check_input, name="line_check_input"),
    path("line-check/<uuid:input_id>/mark/", views.mark_input, name="line_check_mark"),
    path("line-check/<uuid:input_id>/for-good/", views.permanent, name="line_check_permanent"),
    path("report/", views.show_report, name="show_report"),
    path("report.pdf", views.show_report_pdf, name="show_report_pdf"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/shows/<uuid:show_id>/", include(show_urls)),
]
