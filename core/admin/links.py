"""One-time links. Their tokens are not in the database, so there is nothing to copy here."""

from __future__ import annotations

from django.contrib import admin

from core.admin.base import ReadOnly
from core.models import OneTimeLink


@admin.register(OneTimeLink)
class OneTimeLinkAdmin(ReadOnly):
    list_display = (
        "purpose",
        "production",
        "made_by",
        "made_at",
        "expires_at",
        "used_at",
        "withdrawn_at",
    )
    list_filter = ("purpose",)
    list_select_related = ("production", "made_by")
    search_fields = ("production__name", "made_by__name")
    date_hierarchy = "made_at"
