"""Outgoing mail, counted: how many left, and how many the server did not take."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.mail.backends import console, smtp
from django.core.mail.backends.base import BaseEmailBackend

from core.operation import figures


class Counted(BaseEmailBackend):
    def send_messages(self, email_messages: Sequence[Any]) -> int:
        try:
            sent = super().send_messages(email_messages) or 0
        except Exception:
            figures.mails_ended("failed", len(email_messages))
            raise
        figures.mails_ended("sent", sent)
        return sent


class Smtp(Counted, smtp.EmailBackend):
    pass


class Console(Counted, console.EmailBackend):
    pass
