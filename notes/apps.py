"""App configuration: notes hangs in where rigs asks for reasons and for panels."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"

    def ready(self) -> None:
        from core.panels import register_errands
        from notes.changelog import keeper
        from notes.errands import errands
        from notes.panels import rig
        from notes.search import keep
        from notes.signing import panels as signing

        keeper.register()
        rig.register_panels()
        keep.connect()
        signing.register()
        register_errands(errands)
