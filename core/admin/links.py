"""One-time links, and links for guests. Their tokens are not stored: nothing here can be copied."""

from __future__ import annotations

from django.contrib import admin

from core.admin.base import ReadOnly
from core.models import GuestChange, GuestLink, OneTimeLink


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


@admin.register(GuestLink)
class GuestLinkAdmin(ReadOnly):
    list_display = ("for_whom", "kind", "production", "made_by", "expires_at", "withdrawn_at")
    list_filter = ("kind",)
    list_select_related = ("production", "made_by")
    search_fields = ("production__name", "made_by__name", "for_whom")
    date_hierarchy = "made_at"


@admin.register(GuestChange)
class GuestChangeAdmin(ReadOnly):
    list_display = ("link", "by_name", "at")
    list_select_related = ("link",)
    search_fields = ("by_name", "link__for_whom")
    date_hierarchy = "at"
