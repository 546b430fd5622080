"""App configuration: notes hangs in where rigs asks for reasons and for panels."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"

    def ready(self) -> None:
        from notes.changelog import keeper

        keeper.register()
