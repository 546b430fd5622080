"""App configuration."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class CoreConfig(AppConfig):
    name = "core"

    def ready(self) -> None:
        from core.append_only import after_migrate
        from core.panels import register_errands
        from core.services.errands import set_up

        # No sender: whichever app migrated last, its append-only tables get their triggers.
        post_migrate.connect(after_migrate, dispatch_uid="append_only")
        register_errands(set_up)
