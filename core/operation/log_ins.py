"""Log-ins that were refused, counted: many in a short time are somebody who tries passwords."""

from __future__ import annotations

from typing import Any

from axes.signals import user_locked_out
from django.contrib.auth.signals import user_login_failed

from core.operation import figures


def connect() -> None:
    user_login_failed.connect(_refused, dispatch_uid="figures")
    user_locked_out.connect(_locked_out, dispatch_uid="figures")


def _refused(**_: Any) -> None:
    figures.log_in_failed("password")


def _locked_out(**_: Any) -> None:
    figures.log_in_failed("locked_out")
