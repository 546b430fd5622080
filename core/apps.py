"""App configuration."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import class_prepared, post_migrate, pre_migrate

from core.languages import quick
from core.languages.field_names import translate_names

# Here, because models are made before `ready`.
class_prepared.connect(translate_names, dispatch_uid="field_names")
quick.connect()


class CoreConfig(AppConfig):
    name = "core"

    def ready(self) -> None:
        # Here and not at the top: models cannot be imported before the apps are loaded.
        from core import append_only
        from core.kept import names
        from core.live import presence
        from core.operation import log_ins
        from core.places import SEARCH_CATCH_UP, SEARCH_ENTRIES, SHOWS, TO_DOS
        from core.proof import migrated, writes
        from core.search import entries, index, sources, sqlite
        from core.services.to_dos import set_up
        from core.sets import views as sets

        # No sender: whichever app migrated last, its append-only tables get their triggers.
        post_migrate.connect(append_only.after_migrate, dispatch_uid="append_only")
        post_migrate.connect(sqlite.after_migrate, sender=self, dispatch_uid="search")
        pre_migrate.connect(migrated.listen, sender=self, dispatch_uid="log_of_migrations")
        post_migrate.connect(migrated.put_down, dispatch_uid="log_of_migrations")
        TO_DOS.add(set_up)
        SHOWS.add(sets.of_shows)
        SEARCH_ENTRIES.add(entries.everything)
        SEARCH_CATCH_UP.add(sources.fill_once)
        index.connect()
        writes.connect()
        presence.connect()
        log_ins.connect()
        names.connect()
