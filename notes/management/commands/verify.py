"""manage.py verify: is every history, photo, clip, sign-off and handover what was written?"""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from core.append_only import missing_triggers
from core.models import Production
from notes.blind.services import broken_sittings
from notes.clips.storage import broken_clips
from notes.handover.verify import broken_handovers
from notes.signing.verify import broken_sign_offs
from rigs.models import Rig
from rigs.photos.storage import broken_photos
from rigs.revisions.verify import BrokenHistory, verify_rig


class Command(BaseCommand):
    help = (
        "Walk every rig's history, every stored photo and sound, every sign-off and every "
        "published handover; name the first break."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--production", help="Only the production of this id.")

    def handle(self, *args: Any, **options: Any) -> None:
        production = self._production(options["production"])
        with transaction.atomic():  # one point in time, whatever is written meanwhile
            broken = next(self._breaks(production), None)
        if broken:
            raise CommandError(broken)
        self.stdout.write(self.style.SUCCESS("Everything is as it was written."))

    def _production(self, key: str | None) -> Production | None:
        if not key:
            return None
        try:
            return Production.objects.get(pk=UUID(key))
        except (ValueError, Production.DoesNotExist):
            raise CommandError(f"There is no production {key}.") from None

    def _breaks(self, production: Production | None) -> Iterator[str]:
        for name in missing_triggers(connection):
            yield f"The database does not protect its history: trigger {name} is missing."
        rigs = Rig.objects.select_related("production").order_by("made_at")
        walked = 0
        for rig in rigs.filter(production=production) if production else rigs:
            try:
                walked += verify_rig(rig)
            except BrokenHistory as error:
                yield f"{rig.production} · {rig} ({rig.pk}): {error}."
        self.stdout.write(f"{walked} changes of {rigs.count()} rigs walked.")
        # After the histories, into which sign-offs and handovers point.
        yield from broken_sign_offs(production.pk if production else None)
        yield from broken_handovers(production.pk if production else None)
        yield from broken_sittings(production.pk if production else None)
        for broken in broken_photos(production):
            yield f"{broken.photo.production} · photo {broken.path}: {broken.problem}."
        for file in broken_clips(production):
            yield f"{file.production} · sound {file.path}: {file.problem}."
