"""manage.py forget: take a person out of one production, or out of all."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any
from uuid import UUID

from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.core.management.base import BaseCommand, CommandError

from core.models import Player, Production, Removal, User
from core.services.members import LastManager
from notes.forgetting.forget import Report, forget, look
from notes.forgetting.subject import Subject, guest, member, musician


class Command(BaseCommand):
    help = (
        "Forget a person: names, words and voice go, what they vouched for still holds. Without "
        "--do it only says what would go and what stays."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        who = parser.add_mutually_exclusive_group(required=True)
        who.add_argument("--email", help="of the account")
        who.add_argument("--player", help="id of a musician without an account")
        who.add_argument("--guest", help="name that a guest typed; with --production")
        parser.add_argument("--production", help="only in the production of this id")
        parser.add_argument("--asked-by", choices=Removal.Request.values, default="person")
        parser.add_argument("--reason", default="", help="why; it stays, so name nobody in it")
        parser.add_argument("--names-only", action="store_true", help="leave what they wrote")
        parser.add_argument("--do", action="store_true", help="do it, and not only look")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["do"] and not options["reason"]:
            raise CommandError("Say why, with --reason.")
        for subject in self._subjects(options):
            self.stdout.write(f"In {subject.production}:")
            self._tell(self._done(subject, options))
        if not options["do"]:
            self.stdout.write("Nothing was done. Add --do and --reason to do it.")

    def _subjects(self, options: dict[str, Any]) -> list[Subject]:
        try:
            if options["player"]:
                player = Player.objects.get(pk=UUID(options["player"]))
                return [musician(player.production, player)]
            if options["guest"]:
                place = Production.objects.get(pk=UUID(options["production"] or ""))
                return [guest(place, options["guest"])]
            person = User.objects.get(email__iexact=options["email"])
            there = Production.objects.filter(memberships__user=person)
            written = Production.objects.filter(personal_texts__person=person)
            found = (there | written).distinct().order_by("name")
            if options["production"]:
                found = found.filter(pk=UUID(options["production"]))
        except (ObjectDoesNotExist, ValueError, ValidationError):
            raise CommandError("There is nobody of that address or id.") from None
        return [member(production, person) for production in found]

    def _done(self, subject: Subject, options: dict[str, Any]) -> Report:
        words = not options["names_only"]
        try:
            if not options["do"]:
                return look(subject, words=words)
            asked, why = options["asked_by"], options["reason"]
            return forget(subject, by=None, asked_by=asked, reason=why, words=words)
        except LastManager as refused:
            raise CommandError(str(refused)) from None
        except ValidationError as refused:
            raise CommandError(" ".join(refused.messages)) from None

    def _tell(self, report: Report) -> None:
        for what, count in report.goes:
            self.stdout.write(f"  goes: {what}: {count}")
        for what, count in report.staying:
            self.stdout.write(f"  stays, with the name in it: {what}: {count}")
        if report.closes_account:
            self.stdout.write("  the account is closed")
