"""manage.py bring_recording: files of a session that are on a disk of this machine."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from core.models import Membership, User
from notes.models import ListeningSession, Recording
from notes.takes.services import Brought, bring


class Command(BaseCommand):
    help = (
        "Store files of a session that ran together, one of many channels or one for each, and "
        "find its takes. For what is too large to upload: there is no limit to the bytes."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("session", type=UUID, help="the id in the address of the session")
        parser.add_argument("files", nargs="+", type=Path)
        parser.add_argument("--by", required=True, help="the e-mail address of who brings it")
        parser.add_argument("--name", default="", help="what it is called in lists")
        parser.add_argument(
            "--hours", type=float, default=4.0, help="the longest that one file may take to read"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        session = ListeningSession.objects.filter(pk=options["session"]).first()
        by = User.objects.filter(email=options["by"]).first()
        if session is None:
            raise CommandError(
                "There is no such session: its id stands in the address of its page."
            )
        if (
            by is None
            or not Membership.objects.filter(user=by, production=session.production).exists()
        ):
            raise CommandError(f"{options['by']} is not in the production of this session.")
        recording: Recording | None = None
        for path in options["files"]:
            recording = self._bring(path, session, recording, by, options)
            self.stdout.write(f"{path.name}: {recording.takes.count()} takes so far.")
        self.stdout.write(self.style.SUCCESS(f"“{recording}” is saved."))

    def _bring(
        self,
        path: Path,
        session: ListeningSession,
        together: Recording | None,
        by: User,
        options: dict[str, Any],
    ) -> Recording:
        if not path.is_file():
            raise CommandError(f"{path} is no file. What was named before it is stored.")
        brought = Brought(
            path=path,
            file_name=path.name,
            session=session,
            together=together,
            name=options["name"],
        )
        try:
            return bring(brought, by=by, most_bytes=None, within_s=options["hours"] * 3600)
        except ValidationError as error:
            words = " ".join(error.messages)
            raise CommandError(
                f"{path.name}: {words} What was named before it is stored."
            ) from None
