"""Accounts, with Django's own forms for setting a password."""

from __future__ import annotations

from typing import ClassVar

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy
from rest_framework.authtoken.admin import TokenAdmin
from rest_framework.authtoken.models import TokenProxy

from core.models import Membership, User
from core.sign_in import codes, logged_in, notices


class AccountCreationForm(AdminUserCreationForm):  # type: ignore[type-arg]
    class Meta:
        model = User
        fields = ("email", "name")

    def clean_email(self) -> str:
        return str(self.cleaned_data["email"]).lower()


class AccountChangeForm(UserChangeForm):  # type: ignore[type-arg]
    class Meta:
        model = User
        fields = "__all__"  # noqa: DJ007 - the admin's fieldsets choose
        field_classes: ClassVar[dict[str, type]] = {}

    def clean_email(self) -> str:
        return str(self.cleaned_data["email"]).lower()


class MembershipInline(admin.TabularInline):  # type: ignore[type-arg]
    model = Membership
    extra = 0
    # Roles are changed in the production, where its last manager is guarded.
    can_delete = False

    def has_change_permission(self, request: object, obj: object = None) -> bool:
        return False

    def has_add_permission(self, request: object, obj: object = None) -> bool:
        return False


@admin.register(User)
class AccountAdmin(UserAdmin):  # type: ignore[type-arg]
    add_form, form = AccountCreationForm, AccountChangeForm
    ordering = ("name",)
    list_display = ("name", "email", "is_active", "is_staff", "joined_at")
    list_filter = ("is_active", "is_staff")
    search_fields = ("name", "email")
    readonly_fields = ("joined_at", "last_login")
    actions = ("log_out_everywhere", "second_factor_off")
    fieldsets = (
        (None, {"fields": ("email", "name", "temperature_scale", "theme", "language", "password")}),
        (
            "May",
            {"fields": ("is_active", "is_staff", "is_superuser", "groups", "user_permissions")},
        ),
        ("When", {"fields": ("joined_at", "last_login")}),
    )
    add_fieldsets = (
        (
            None,
            {
                "classes": ("wide",),
                "fields": ("email", "name", "usable_password", "password1", "password2"),
            },
        ),
    )

    @admin.action(description="Log out everywhere", permissions=["change"])
    def log_out_everywhere(self, request: HttpRequest, people: QuerySet[User]) -> None:
        ended = sum(logged_in.end_all(person) for person in people)
        self.message_user(request, f"{ended} log-ins are ended. API keys stay.")

    @admin.action(
        description="Turn the second factor off, once you know who asks", permissions=["change"]
    )
    def second_factor_off(self, request: HttpRequest, people: QuerySet[User]) -> None:
        for person in people:
            if codes.turn_off(person):
                notices.tell(
                    person,
                    gettext_lazy("Your second factor"),
                    format_lazy(
                        gettext_lazy("{name} turned the second factor of your account off."),
                        name=str(request.user),
                    ),
                )
        self.message_user(request, "The log-in asks those people for their password alone.")

    def has_delete_permission(self, request: object, obj: object = None) -> bool:
        # What a person wrote and signed names them. An account is closed by is_active.
        return False

    def get_inlines(self, request: object, obj: User | None) -> tuple[type[MembershipInline], ...]:
        # An account that is just being added has no memberships yet.
        return (MembershipInline,) if obj else ()


# The library's own page would store what is typed there as if it were a digest.
admin.site.unregister(TokenProxy)


@admin.register(TokenProxy)
class ApiKeyAdmin(TokenAdmin):
    """Who has a key to the API, to take it back. Only its owner makes one."""

    list_display = ("user", "created")
    fields = ("user", "created")

    def has_add_permission(self, request: object) -> bool:
        return False

    def has_change_permission(self, request: object, obj: object = None) -> bool:
        return False
