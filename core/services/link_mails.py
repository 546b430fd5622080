"""Mails that carry a link to one person: text alone, so that every program shows them."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

from django.core.mail import send_mail
from django.template.loader import render_to_string
from django.utils import translation

from core.languages.choice import language_for
from core.models import User
from core.text import one_line

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

logger = logging.getLogger(__name__)


def mail_link(
    email: str, subject: StrOrPromise, template: str, context: dict[str, Any], language: str = ""
) -> bool:
    """Send it; False if that failed, which is logged without the link. The address is not kept.

    In `language`, where one was chosen; else in that of the account with that address; for whoever
    has none in that of the sender. A `subject` that is lazy follows it, as the template does.

    Call it after the transaction that made the link: a mail cannot be rolled back with it.
    """
    person = User.objects.filter(email__iexact=email).first()
    reads = language or language_for(person, translation.get_language() or "")
    with translation.override(reads):
        # A name may hold what a header may not.
        head, body = one_line(str(subject)), render_to_string(template, context)
    try:
        send_mail(head, body, None, [email])
    except OSError:  # every error of smtplib is one
        logger.exception("The mail of a link (%s) was not sent.", template)
        return False
    return True
