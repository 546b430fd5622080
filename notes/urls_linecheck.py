"""Addresses of line checks and show reports. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import linecheck

show_urls = [
    path("line-check/", linecheck.line_check, name="line_check"),
    path("line-check/finish/", linecheck.finish, name="line_check_finish"),
    path("line-check/reopen/", linecheck.reopen_check, name="line_check_reopen"),
    path("line-check/<uuid:input>/", linecheck.line_check_input, name="line_check_input"),
    path("line-check/<uuid:input>/mark/", linecheck.mark_input, name="line_check_mark"),
    path("line-check/<uuid:input>/for-good/", linecheck.permanent, name="line_check_permanent"),
    path("report/", linecheck.show_report, name="show_report"),
    path("report.pdf", linecheck.show_report_pdf, name="show_report_pdf"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/shows/<uuid:show>/", include(show_urls)),
]
