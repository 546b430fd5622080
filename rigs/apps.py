"""App configuration: rigs hangs in what it knows about the pages of core."""

from __future__ import annotations

from django.apps import AppConfig


class RigsConfig(AppConfig):
    name = "rigs"

    def ready(self) -> None:
        from core.panels import Place, register, register_errands
        from rigs import live
        from rigs.errands import upkeep
        from rigs.search import keep
        from rigs.views.air import leg_panel
        from rigs.views.shows import leg_panel as lists_of_shows
        from rigs.views.songs import set_panel, song_panel
        from rigs.views.upkeep import leg_panel as upkeep_panel

        register(Place.LEG, lists_of_shows)
        register(Place.LEG, leg_panel)
        register(Place.LEG, upkeep_panel)
        register_errands(upkeep)
        register(Place.SET, set_panel)
        register(Place.SONG, song_panel)
        keep.connect()
        live.connect()
