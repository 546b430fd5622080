"""App configuration: notes hangs in where rigs asks for reasons and for panels."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"

    def ready(self) -> None:
        from core.panels import register_errands, register_of_shows
        from notes.captures.store import measured_of
        from notes.journal import panels, reasons
        from notes.linecheck.views import of_shows
        from notes.search import index
        from notes.signing import panels as signing
        from notes.to_dos import errands
        from rigs.checks import measured

        reasons.register()
        panels.register_panels()
        index.connect()
        signing.register()
        register_of_shows(of_shows)
        register_errands(errands)
        measured.register(measured_of)
