"""App configuration: what notes plugs into the places of core and of rigs."""

from __future__ import annotations

from django.apps import AppConfig


class NotesConfig(AppConfig):
    name = "notes"

    def ready(self) -> None:
        # Here and not above: models cannot be imported before all apps are loaded.
        from core import places as core
        from core.operation import figures
        from notes import places
        from notes.archive.logged import logged
        from notes.captures.store import measured_of
        from notes.causes import enough
        from notes.clips import decoder_process
        from notes.clips.for_guests import sounds_of_rigs
        from notes.forgetting.files import gone_addresses
        from notes.handover import guests as handovers
        from notes.journal import panels, reasons
        from notes.journal.quick import note_button
        from notes.linecheck.views import of_shows
        from notes.monitors import found
        from notes.monitors import show_views as monitors
        from notes.monitors.services import on_stage
        from notes.search import index, renamed
        from notes.signing import panels as signing
        from notes.telephone import next_show, note, takers
        from notes.to_dos import to_dos
        from rigs import places as rigs

        places.SCATTER.add(enough.panel)
        places.CLIP_TO_SIGN.add(enough.before_signing)
        core.SHOWS.add(of_shows, monitors.of_shows)
        core.PRODUCTION.add(monitors.front)
        core.TO_DOS.add(to_dos)
        core.THUMB_BUTTON.add(note_button)
        core.SEARCH_ENTRIES.add(index.everything, found.everything)
        core.INCOMING.add(takers)
        core.SHORTCUTS.add(note, next_show)
        core.GONE_FILES.add(gone_addresses)
        core.SHARED.add(handovers.shared)
        rigs.RIG_SOUNDS.add(sounds_of_rigs)
        core.LOGGED.add(logged)
        rigs.MONITORS.add(on_stage)
        rigs.RIG_TOP.add(signing.rig_top)
        rigs.RIG_WHY.add(panels.why)
        rigs.RIG_OPEN.add(panels.still_open)
        rigs.RIG_ROWS.add(signing.rig_rows)
        rigs.INPUT.add(panels.of_input, panels.clips_of_input)
        rigs.REVISION.add(panels.of_revision)
        rigs.LAST_SIGNED.add(signing.last_signed)
        rigs.SIGNED_WORDS.add(signing.words_of)
        rigs.MEASURED.add(measured_of)
        rigs.CHECK_NOTES.add(reasons.check_notes)
        rigs.LINK_NOTES.add(reasons.link_notes)
        rigs.RETITLED.add(renamed.rigs_retitled)
        decoder_process.told = figures.decoder_ran
        index.connect()
        found.connect()
