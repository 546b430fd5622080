"""Accounts. A person logs in with an e-mail address and belongs to productions by membership."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Identified
from core.themes import THEMES
from core.units import CELSIUS, SCALES


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, name: str, password: str | None = None, **more: Any) -> User:
        user = self.model(email=email.strip().lower(), name=name.strip(), **more)
        user.set_password(password)
        # The column holds a hash, and the rules for passwords are for what somebody types.
        user.full_clean(exclude=["password"])
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, name: str, password: str, **more: Any) -> User:
        return self.create_user(email, name, password, is_staff=True, is_superuser=True, **more)

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(email=(username or "").strip().lower())


class User(AbstractBaseUser, PermissionsMixin, Identified):
    email = models.EmailField(gettext_lazy("e-mail"), max_length=254, unique=True)
    name = models.CharField(gettext_lazy("your name"), max_length=120)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    # What a bare number means where this person types a temperature, and what one is shown in.
    temperature_scale = models.CharField(
        gettext_lazy("temperatures in"), max_length=1, choices=SCALES, default=CELSIUS
    )
    # Nothing until somebody chooses: then the device decides.
    theme = models.CharField(
        gettext_lazy("colours"),
        max_length=5,
        choices=[(each, each) for each in THEMES],
        default="",
        blank=True,
    )
    # Nothing until somebody chooses: then the browser decides.
    language = models.CharField(
        gettext_lazy("language"), max_length=8, choices=settings.LANGUAGES, default="", blank=True
    )
    # What is of security is told in any case (core.sign_in.notices).
    mail_of_links = models.BooleanField(
        gettext_lazy("mail me when a link is made with my account"), default=False
    )
    # When they asked to be forgotten; nobody has done it yet.
    asked_to_go_at = models.DateTimeField(null=True, editable=False)
    joined_at = models.DateTimeField(default=clock.now, editable=False)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        constraints = [
            # The unique column alone tells capitals apart; forms and commands fold them, other
            # writers may not.
            models.UniqueConstraint(Lower("email"), name="core_user_email_any_case"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name
