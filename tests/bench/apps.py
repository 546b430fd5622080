"""The benches' own app, with tables that no migration keeps."""

from __future__ import annotations

from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "tests.bench"
    label = "bench"

    def ready(self) -> None:
        import reversion

        from tests.bench.models import WHOLE, WholeRig

        for model in WHOLE:
            reversion.register(model, follow=["rig"])
        names = [f"{model.__name__.lower()}_set" for model in WHOLE]
        reversion.register(WholeRig, follow=names)
