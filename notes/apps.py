"""App configuration: notes hangs in where rigs asks for reasons and for panels."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"

    def ready(self) -> None:
        from core.panels import register_errands, register_of_shows
        from notes.captures.kept import measured_of
        from notes.changelog import keeper
        from notes.errands import errands
        from notes.panels import rig
        from notes.search import keep
        from notes.signing import panels as signing
        from notes.views.linecheck import of_shows
        from rigs.checks import measured

        keeper.register()
        rig.register_panels()
        keep.connect()
        signing.register()
        register_of_shows(of_shows)
        register_errands(errands)
        measured.register(measured_of)
