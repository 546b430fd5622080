"""What the administrator's pages have in common: nothing that history mentions is deleted."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest


class Undeletable(admin.ModelAdmin):  # type: ignore[type-arg]
    """Rows may be changed, not deleted. A change raises `version`, so that open forms notice."""

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        if change:
            obj.version += 1
        super().save_model(request, obj, form, change)


class ReadOnly(admin.ModelAdmin):  # type: ignore[type-arg]
    """Rows may only be looked at. For tables that nothing but their service may write."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
