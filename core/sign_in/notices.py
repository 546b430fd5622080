"""Mails that tell somebody what was done with their account, so that they notice what was not them.

What is of security is always told. Links that they made are told to whoever wants it.
"""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from core import clock
from core.languages.choice import language_for
from core.models import OneTimeLink, User
from core.text import one_line

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

logger = logging.getLogger(__name__)
ALWAYS = frozenset({OneTimeLink.Purpose.INVITATION})  # it lets somebody in


def tell(person: User, subject: StrOrPromise, what: StrOrPromise) -> None:
    """Mail `what` happened, a sentence, once the transaction is done. A mail that cannot be sent
    is put on record and hinders nobody. In the language of the person, as far as `subject` and
    `what` are lazy."""
    context = {"person": person.name, "what": what, "at": clock.now()}
    address, language = person.email, language_for(person)

    def send() -> None:
        try:
            with translation.override(language):
                body = render_to_string("core/mail/notice.txt", context)
                send_mail(one_line(str(subject)), body, None, [address])
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
        gettext_lazy("A link was made with your account"),
        format_lazy(
            gettext_lazy(
                "A one-time link was made with your account in {production}: {purpose}. "
                "Whoever holds it can open it once."
            ),
            production=link.production,
            purpose=purpose.label,
        ),
    )
