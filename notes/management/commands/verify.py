"""manage.py verify: is every history, photo, clip, sign-off and handover what was written?"""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from core.append_only import unprotected
from core.models import Production
from core.personal.store import broken_texts
from core.proof.kept import Kept, orphans
from core.proof.timestamps import NoTimestamp, read_roots, stamped_at
from core.proof.verify import broken_log, since_last
from notes.blind.services import broken_sittings
from notes.causes.kept import broken_scatters
from notes.clips.storage import broken_clips
from notes.handover.verify import broken_handovers
from notes.monitors.verify import broken_mixes
from notes.signing.verify import broken_sign_offs
from rigs.models import Rig
from rigs.photos.storage import broken_photos
from rigs.revisions.verify import Walk as RigWalk


class Command(BaseCommand):
    help = (
        "Walk every rig's history, every stored photo and sound, every sign-off and every "
        "published handover, one production after the other; name what is not as it was written."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--production", help="Only the production of this id.")
        parser.add_argument(
            "--checkpoint",
            action="append",
            default=[],
            metavar="FILE-OR-CODE",
            help="a checkpoint that was kept elsewhere: its file, or the code as it was printed; "
            "may be given several times",
        )
        parser.add_argument(
            "--authority",
            type=Path,
            metavar="PEM",
            help="certificates that vouch for the authority of the checkpoints' timestamps",
        )
        parser.add_argument(
            "--go-on",
            action="store_true",
            help="only what was written since the last signed checkpoint, which is believed",
        )
        parser.add_argument(
            "--progress",
            type=Path,
            metavar="FILE",
            help="note in FILE what is walked: run again after a stop, it goes on from there",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        productions = self._productions(options["production"])
        kept = self._kept(options["checkpoint"])
        walk = Walk(options["progress"])
        broken = [*_unprotected(), *walk.broken]
        broken += self._stamped(kept, options["authority"])
        if not options["production"]:
            broken += orphans(kept)
        broken += kept.fits_none(productions)
        for place, production in enumerate(productions, 1):
            if str(production.pk) in walk.done:
                continue
            with _one_point_in_time():
                rigs, changes, found = walked(production, kept, go_on=options["go_on"])
            walk.note(production, rigs, changes, found)
            broken += found
            self.stdout.write(
                f"{place} of {len(productions)}: {production}: {changes} changes of {rigs} rigs."
            )
        self.stdout.write(f"{walk.changes} changes of {walk.rigs} rigs walked.")
        walk.end()
        if broken:
            raise CommandError("\n".join(broken))
        self.stdout.write(self.style.SUCCESS("Everything is as it was written."))

    def _kept(self, given: list[str]) -> Kept:
        try:
            return Kept(given)
        except ValueError as error:
            raise CommandError(str(error)) from None

    def _stamped(self, kept: Kept, authority: Path | None) -> Iterator[str]:
        """Timestamps that do not hold, in words; what the others say is told."""
        if not authority:
            if kept.timestamps:
                self.stdout.write("Timestamps were not looked at: that needs --authority.")
            return
        try:
            roots = read_roots(authority)
        except NoTimestamp as error:
            raise CommandError(str(error)) from None
        for checkpoint, stamp in kept.timestamps:
            try:
                at = stamped_at(checkpoint, stamp, roots)
            except NoTimestamp as error:
                yield f"The timestamp of checkpoint {checkpoint.code} does not hold: {error}."
            else:
                said = f"{at:%Y-%m-%d %H:%M} UTC"
                self.stdout.write(f"Checkpoint {checkpoint.code} was there on {said}.")

    def _productions(self, key: str | None) -> list[Production]:
        if not key:
            return list(Production.objects.order_by("pk"))
        try:
            return [Production.objects.get(pk=UUID(key))]
        except (ValueError, Production.DoesNotExist):
            raise CommandError(f"There is no production {key}.") from None


class Walk:
    """How far it went: one line of JSON a production, in a file that outlives a stop."""

    def __init__(self, file: Path | None) -> None:
        self.file = file
        self.done: set[str] = set()
        self.rigs = self.changes = 0
        self.broken: list[str] = []
        for line in file.read_text().splitlines() if file and file.exists() else ():
            try:
                self._count(json.loads(line))
            except ValueError:  # cut short by the stop: that production is walked again
                continue

    def note(self, production: Production, rigs: int, changes: int, broken: list[str]) -> None:
        told = {"production": str(production.pk), "rigs": rigs, "changes": changes}
        self._count(told | {"broken": []})  # what is broken, the caller has
        if self.file:
            with self.file.open("a") as file:
                file.write(json.dumps(told | {"broken": broken}) + "\n")

    def end(self) -> None:
        """All of it is walked: the next run begins anew."""
        if self.file:
            self.file.unlink(missing_ok=True)

    def _count(self, told: dict[str, Any]) -> None:
        self.done.add(told["production"])
        self.rigs += told["rigs"]
        self.changes += told["changes"]
        self.broken += told["broken"]


@contextmanager
def _one_point_in_time() -> Iterator[None]:
    """Whatever is written meanwhile: or what is read first would not fit what is read last."""
    is_outermost = not connection.in_atomic_block
    with transaction.atomic():
        if is_outermost and connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


def walked(
    production: Production, kept: Kept | None = None, *, go_on: bool = False
) -> tuple[int, int, list[str]]:
    """How many rigs and changes, and what is broken in it, in words.

    `kept` are checkpoints from elsewhere. `go_on`: only what came since the last signed checkpoint.
    """
    broken = list(broken_log(production, kept.of(production) if kept else (), go_on=go_on))
    rigs, changes = 0, 0
    for rig in _rigs(production, go_on):
        rigs += 1
        walk = RigWalk(rig)
        broken += [f"{production} · {rig} ({rig.pk}): {words}." for words in walk.broken()]
        changes += walk.count
    if go_on:
        return rigs, changes, broken
    # After the histories, into which sign-offs and handovers point.
    broken += broken_sign_offs(production.pk)
    broken += broken_texts(production.pk)
    broken += broken_scatters(production.pk)
    broken += broken_handovers(production.pk)
    broken += broken_mixes(production.pk)
    broken += broken_sittings(production.pk)
    broken += [
        f"{production} · photo {each.path}: {each.problem}." for each in broken_photos(production)
    ]
    broken += [
        f"{production} · sound {each.path}: {each.problem}." for each in broken_clips(production)
    ]
    return rigs, changes, broken


def _rigs(production: Production, go_on: bool) -> Iterator[Rig]:
    rigs = Rig.objects.filter(production=production).order_by("made_at")
    if go_on:
        named = since_last(production.pk, {"rigs.revision", "rigs.rig", "rigs.keyframe"})
        rigs = rigs.filter(pk__in={key.partition("/")[0] for key in named})
    yield from rigs


def _unprotected() -> Iterator[str]:
    for words in unprotected(connection):
        yield f"The database does not protect its history: {words}."
