"""Mails that tell somebody what was done with their account, so that they notice what was not them.

What is of security is always told. Links that they made are told to whoever wants it.
"""

from __future__ import annotations

import logging

from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string

from core import clock
from core.models import OneTimeLink, User
from core.text import one_line

logger = logging.getLogger(__name__)
ALWAYS = frozenset({OneTimeLink.Purpose.INVITATION})  # it lets somebody in


def tell(person: User, subject: str, what: str) -> None:
    """Mail `what` happened, a sentence, once the transaction is done. A mail that cannot be sent
    is put on record and hinders nobody."""
    context = {"person": person.name, "what": what, "at": clock.now()}
    address = person.email

    def send() -> None:
        try:
            body = render_to_string("core/mail/notice.txt", context)
            send_mail(one_line(subject), body, None, [address])
        except OSError:  # every error of smtplib is one
            logger.exception("A notice was not sent.")

    transaction.on_commit(send)


def link_made(link: OneTimeLink) -> None:
    """Tell whoever made a link; called in the transaction that makes it."""
    person = link.made_by
    purpose = OneTimeLink.Purpose(link.purpose)
    if purpose not in ALWAYS and not person.mail_of_links:
        return
    tell(
        person,
        "A link was made with your account",
        f"A one-time link was made with your account in {link.production}: {purpose.label}. "
        "Whoever holds it can open it once.",
    )
