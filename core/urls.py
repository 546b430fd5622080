"""All addresses. Pages hang below /p/<production>/, the API below /api/."""

from __future__ import annotations

from django.conf import settings
from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path

from core.sign_in.views import admin_log_in
from core.views.styleguide import styleguide

api: list[URLPattern | URLResolver] = [
    path("", include("core.api.urls")),
    path("", include("rigs.api.urls")),
    path("", include("notes.api.urls")),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("core.urls_core")),
    path("", include("rigs.urls")),
    path("", include("notes.urls")),
    path("api/v1/", include(api)),
    # Before those of the administration, whose own log-in knows no second factor.
    path("admin/login/", admin_log_in),
    path("admin/", admin.site.urls),
]
if settings.DEBUG:
    urlpatterns.append(path("styleguide/", styleguide))

handler400 = "core.views.errors.bad_request"
handler403 = "core.views.errors.forbidden"
handler404 = "core.views.errors.not_found"
handler500 = "core.views.errors.server_error"
