"""Log-ins that were refused, counted and logged: many in a short time are somebody who tries.

Passwords are on record with the address they came from, in the tables of django-axes, which logs
them as well; of codes, passkeys and API keys the log says no more than that one was refused.
"""

from __future__ import annotations

import logging
from typing import Any

from axes.signals import user_locked_out
from django.contrib.auth.signals import user_login_failed

from core.operation import figures


def connect() -> None:
    user_login_failed.connect(_refused, dispatch_uid="figures")
    user_locked_out.connect(_locked_out, dispatch_uid="figures")


log = logging.getLogger("toneledger.log_ins")


def refused(by: str) -> None:
    """By what: `code`, `passkey`, `api_key`, or that it is `locked_out`."""
    figures.log_in_failed(by)
    log.warning("A log-in was refused: %s.", by)


def _refused(**_: Any) -> None:
    figures.log_in_failed("password")


def _locked_out(**_: Any) -> None:
    figures.log_in_failed("locked_out")
