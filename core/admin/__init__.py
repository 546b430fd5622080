"""The administrator's view of core: accounts, productions, tours, songs, links."""

from __future__ import annotations

from django.contrib import admin

from core.admin import links, productions, users

__all__ = ["links", "productions", "users"]

admin.site.site_header = "Toneledger: administration"
admin.site.site_title = "Toneledger"
admin.site.index_title = "Everything in this service"
