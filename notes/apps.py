"""App configuration: notes hangs in where rigs asks for reasons and for panels."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"

    def ready(self) -> None:
        from core.panels import Place, register, register_errands
        from notes.changelog import keeper
        from notes.errands import errands
        from notes.panels import rig
        from notes.search import keep
        from notes.signing import panels as signing
        from notes.views.linecheck import leg_panel

        keeper.register()
        rig.register_panels()
        keep.connect()
        signing.register()
        register(Place.LEG, leg_panel)
        register_errands(errands)
