"""App configuration: what rigs plugs into the places of core, and into its own."""

from __future__ import annotations

from django.apps import AppConfig


class RigsConfig(AppConfig):
    name = "rigs"

    def ready(self) -> None:
        # Imported here: models are not loaded yet when this module is.
        from core import places as core
        from rigs import places
        from rigs.open_pages import updates
        from rigs.overview.first_steps import first_steps
        from rigs.overview.front import front
        from rigs.search import index
        from rigs.shows import views as shows
        from rigs.songs import views as songs
        from rigs.upkeep import views as upkeep
        from rigs.upkeep.to_dos import upkeep as upkeep_to_do
        from rigs.whatif import views as air

        core.PRODUCTION.add(front)
        core.FIRST_STEPS.add(first_steps)
        core.SET.add(songs.set_panel)
        core.SONG.add(songs.song_panel)
        core.SHOWS.add(shows.of_shows, upkeep.of_shows, songs.of_shows, air.of_shows)
        core.TO_DOS.add(upkeep_to_do)
        core.SEARCH_ENTRIES.add(index.devices)
        core.SEARCH_CATCH_UP.add(index.catch_up)
        core.SEARCH_REBUILD.add(index.rebuild)
        places.RECORDED.add(updates.on_recorded)
        index.connect()
