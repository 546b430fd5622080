"""How people get in: their log-ins, passkeys, second factor, and the devices they came from."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.utils.translation import gettext, gettext_lazy

from core import clock
from core.models.base import Identified


class LogIn(AbstractBaseSession):
    """A session of a browser, with whose it is. `session_key` is a digest of the key that the
    browser has, so that a copy of the database opens nothing."""

    class By(models.TextChoices):
        PASSWORD = "password", gettext_lazy("password")
        CODE = "code", gettext_lazy("password and code")
        RECOVERY = "recovery", gettext_lazy("password and recovery code")
        PASSKEY = "passkey", gettext_lazy("passkey")
        LINK = "link", gettext_lazy("link")

    # Nobody before the log-in, where a challenge may have to be remembered.
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, null=True, related_name="log_ins"
    )
    by = models.CharField(max_length=8, choices=By.choices, default="", blank=True)
    device = models.CharField(max_length=60, default="", blank=True)  # in plain words
    began_at = models.DateTimeField(default=clock.now)
    used_at = models.DateTimeField(default=clock.now)

    class Meta:
        indexes = [models.Index(fields=["expire_date"], name="core_login_expire_date")]

    @classmethod
    def get_session_store_class(cls) -> Any:
        from core.sign_in.sessions import SessionStore

        return SessionStore

    @property
    def device_in_words(self) -> str:
        """In the language that is read: kept are the words of `core.sign_in.devices`."""
        return gettext(self.device) if self.device else gettext("device from before")

    def save(self, *args: Any, **more: Any) -> None:
        # A session that is written again keeps when it began and was used.
        if more.get("force_update"):
            more["update_fields"] = ["session_data", "expire_date", "user", "by", "device"]
        super().save(*args, **more)


class Passkey(Identified):
    """A key pair on a device of somebody's; the public half (W3C Web Authentication, level 3)."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="passkeys")
    name = models.CharField(max_length=60)
    credential_id = models.CharField(max_length=1366, unique=True, editable=False)  # base64url
    public_key = models.BinaryField()  # COSE_Key
    sign_count = models.BigIntegerField(default=0, editable=False)
    # As the device said: the browser asks there first when it is not to be made twice.
    transports = models.JSONField(default=list, editable=False)
    made_at = models.DateTimeField(default=clock.now, editable=False)
    used_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["made_at"]

    def __str__(self) -> str:
        return self.name


class SecondFactor(models.Model):
    """Codes of an app beside the password (RFC 6238). There is one at a time."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.CASCADE, primary_key=True, related_name="second_factor"
    )
    sealed = models.CharField(max_length=200)  # the secret of the codes, see core.sign_in.codes
    last_step = models.BigIntegerField(default=0)  # of the code used last: none counts twice
    made_at = models.DateTimeField(default=clock.now, editable=False)

    def __str__(self) -> str:
        return f"second factor of {self.user}"


class RecoveryCode(models.Model):
    """One of the codes for when the device is gone; only its digest."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="recovery_codes"
    )
    digest = models.CharField(max_length=64, unique=True)

    def __str__(self) -> str:
        return f"recovery code of {self.user}"


class KnownDevice(models.Model):
    """A browser that somebody logged in with before, known by a cookie of its own."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64)
    used_at = models.DateTimeField(default=clock.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "digest"], name="core_known_device_once"),
        ]

    def __str__(self) -> str:
        return f"device of {self.user}"


class Tries(models.Model):
    """How often something was tried since a moment. `key` says what, and is no personal word."""

    key = models.CharField(max_length=80, unique=True)
    count = models.PositiveIntegerField(default=0)
    since = models.DateTimeField(default=clock.now)

    def __str__(self) -> str:
        return self.key
