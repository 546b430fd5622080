"""App configuration: rigs hangs in what it knows about the pages of core."""

from __future__ import annotations

from django.apps import AppConfig


class RigsConfig(AppConfig):
    name = "rigs"

    def ready(self) -> None:
        from core.panels import Place, register, register_errands, register_of_shows
        from rigs.open_pages import updates
        from rigs.search import index
        from rigs.shows import views as shows
        from rigs.songs import views as songs
        from rigs.songs.views import set_panel, song_panel
        from rigs.upkeep import views as upkeep_views
        from rigs.upkeep.to_dos import upkeep
        from rigs.whatif import views as air

        for views in (shows, upkeep_views, songs, air):
            register_of_shows(views.of_shows)
        register_errands(upkeep)
        register(Place.SET, set_panel)
        register(Place.SONG, song_panel)
        index.connect()
        updates.connect()
