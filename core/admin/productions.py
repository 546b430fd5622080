"""Productions and what they consist of besides rigs."""

from __future__ import annotations

from django.contrib import admin

from core.admin.base import ReadOnly, Undeletable
from core.models import (
    Leg,
    Membership,
    Player,
    Production,
    RehearsalRoom,
    Research,
    Section,
    SetChange,
    SetEntry,
    Show,
    ShowSet,
    Song,
)


@admin.register(Production)
class ProductionAdmin(Undeletable):
    list_display = ("name", "created_at")
    search_fields = ("name",)
    readonly_fields = ("created_at",)


@admin.register(Membership)
class MembershipAdmin(ReadOnly):
    """Read-only: roles are changed in the production, where its last manager is guarded."""

    list_display = ("user", "production", "role", "player", "since")
    list_filter = ("role",)
    list_select_related = ("user", "production", "player")
    search_fields = ("user__name", "user__email", "production__name")


@admin.register(Player)
class PlayerAdmin(Undeletable):
    list_display = ("name", "instrument", "production", "retired_at")
    list_select_related = ("production",)
    search_fields = ("name", "instrument", "production__name")
    autocomplete_fields = ("production",)
    readonly_fields = ("retired_at",)


@admin.register(Leg)
class LegAdmin(Undeletable):
    list_display = ("name", "production", "starts_on", "ends_on", "retired_at")
    list_select_related = ("production",)
    search_fields = ("name", "production__name")
    autocomplete_fields = ("production",)
    readonly_fields = ("retired_at",)
    date_hierarchy = "starts_on"


@admin.register(Show)
class ShowAdmin(Undeletable):
    list_display = ("room", "town", "held_on", "leg", "retired_at")
    list_select_related = ("leg",)
    search_fields = ("room", "town", "leg__name")
    autocomplete_fields = ("leg",)
    readonly_fields = ("retired_at",)
    date_hierarchy = "held_on"


@admin.register(RehearsalRoom)
class RehearsalRoomAdmin(Undeletable):
    list_display = ("name", "production")
    list_select_related = ("production",)
    search_fields = ("name", "production__name")
    autocomplete_fields = ("production",)


@admin.register(Song)
class SongAdmin(Undeletable):
    list_display = ("title", "production", "tempo_bpm", "retired_at")
    list_select_related = ("production",)
    search_fields = ("title", "production__name")
    autocomplete_fields = ("production",)
    readonly_fields = ("retired_at",)


@admin.register(Section)
class SectionAdmin(Undeletable):
    list_display = ("name", "song", "retired_at")
    list_select_related = ("song",)
    search_fields = ("name", "song__title")
    autocomplete_fields = ("song",)
    readonly_fields = ("retired_at",)


@admin.register(Research)
class ResearchAdmin(Undeletable):
    list_display = ("__str__", "song", "player", "retired_at")
    list_select_related = ("song", "player")
    search_fields = ("take", "does", "release", "song__title")
    autocomplete_fields = ("song", "player")
    readonly_fields = ("retired_at", "written_by")


@admin.register(ShowSet)
class ShowSetAdmin(ReadOnly):
    """Read-only, as all of a set: what changes one without its history would be lost to it."""

    list_display = ("show", "version", "target_s")
    list_select_related = ("show",)
    search_fields = ("show__room", "show__town")


@admin.register(SetEntry)
class SetEntryAdmin(ReadOnly):
    list_display = ("__str__", "set", "position", "cut")
    list_select_related = ("set__show", "song")
    search_fields = ("song__title", "title", "set__show__room")


@admin.register(SetChange)
class SetChangeAdmin(ReadOnly):
    list_display = ("set", "number", "by_name", "at")
    list_select_related = ("set__show",)
    search_fields = ("by_name", "set__show__room")
