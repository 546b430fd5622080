"""App configuration: rigs hangs in what it knows about the pages of core."""

from __future__ import annotations

from django.apps import AppConfig


class RigsConfig(AppConfig):
    name = "rigs"

    def ready(self) -> None:
        from core.panels import Place, register, register_errands, register_of_shows
        from rigs import live
        from rigs.errands import upkeep
        from rigs.search import keep
        from rigs.views import air, shows, songs
        from rigs.views import upkeep as upkeep_views
        from rigs.views.songs import set_panel, song_panel

        for views in (shows, upkeep_views, songs, air):
            register_of_shows(views.of_shows)
        register_errands(upkeep)
        register(Place.SET, set_panel)
        register(Place.SONG, song_panel)
        keep.connect()
        live.connect()
