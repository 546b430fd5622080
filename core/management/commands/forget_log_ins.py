"""manage.py forget_log_ins: delete what is kept of log-ins and of no more use."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from core.sign_in.forgetting import forget


class Command(BaseCommand):
    help = "Delete sessions that ended, and records of log-ins that are older than 30 days."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"{forget()} forgotten.")
