"""App configuration: what rigs plugs into the places of core, and into its own."""

from __future__ import annotations

from django.apps import AppConfig


class RigsConfig(AppConfig):
    name = "rigs"

    def ready(self) -> None:
        # Imported here: models are not loaded yet when this module is.
        from core import places as core
        from rigs import guests, places
        from rigs.backline import guest_answers as backline_guests
        from rigs.backline import search as backline_search
        from rigs.backline import views as backline
        from rigs.backline.to_dos import to_reply
        from rigs.changeover import search as changeover_search
        from rigs.changeover import services as changeovers
        from rigs.changeover import views as changeover
        from rigs.knob_check.to_dos import to_turn_back
        from rigs.mains import views as mains
        from rigs.open_pages import updates
        from rigs.overview.first_steps import first_steps
        from rigs.overview.front import front
        from rigs.patch import guest_questions as patch_guests
        from rigs.patch import search as patch_search
        from rigs.patch.load import patch_of_stage
        from rigs.patch.questions import to_answer
        from rigs.patch.views import of_shows as patches_of_shows
        from rigs.plot.search import things as plot_things
        from rigs.plot.views import of_shows as plots_of_shows
        from rigs.search import deps, index
        from rigs.shows import views as shows
        from rigs.songs import views as songs
        from rigs.songs.run_sheet import changes_at
        from rigs.tonight import search as tried
        from rigs.tonight import views as tonight
        from rigs.upkeep import views as upkeep
        from rigs.upkeep.to_dos import upkeep as upkeep_to_do
        from rigs.whatif import views as air

        core.PRODUCTION.add(front)
        core.FIRST_STEPS.add(first_steps)
        core.SET.add(songs.set_panel)
        core.SONG.add(songs.song_panel)
        core.LEG.add(backline.of_leg_page)
        core.SHOWS.add(
            shows.of_shows,
            backline.of_shows,
            tonight.of_shows,
            patches_of_shows,
            plots_of_shows,
            mains.of_shows,
            changeover.of_shows,
            upkeep.of_shows,
            songs.of_shows,
            air.of_shows,
        )
        core.TO_DOS.add(upkeep_to_do, to_turn_back, to_answer, to_reply)
        core.SEARCH_ENTRIES.add(
            index.devices,
            deps.everything,
            backline_search.everything,
            tried.everything,
            patch_search.boxes,
            patch_search.at_shows,
            plot_things,
            changeover_search.everything,
        )
        core.SHARED.add(guests.shared)
        core.GUEST_ASKED.add(backline_guests.asked, patch_guests.asked)
        core.NEW_SHOW.add(changeovers.begin)
        core.SEARCH_CATCH_UP.add(index.catch_up)
        core.SEARCH_FORGET.add(index.forget)
        places.RECORDED.add(updates.on_recorded)
        places.PATCH.add(patch_of_stage)
        places.SET_CHANGES.add(changes_at)
        places.RIG_LAYERS.add(tonight.of_rig)
        places.UNITS_TONIGHT.add(tonight.lines_at)
        index.connect()
        deps.connect()
        tried.connect()
        changeover_search.connect()
        patch_search.connect()
