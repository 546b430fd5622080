"""Mails that carry a link to one person: text alone, so that every program shows them."""

from __future__ import annotations

import logging
from typing import Any

from django.core.mail import send_mail
from django.template.loader import render_to_string

from core.text import one_line

logger = logging.getLogger(__name__)


def mail_link(email: str, subject: str, template: str, context: dict[str, Any]) -> bool:
    """Send it; False if that failed, which is logged without the link. The address is not kept.

    Call it after the transaction that made the link: a mail cannot be rolled back with it.
    """
    try:
        # A name may hold what a header may not.
        send_mail(one_line(subject), render_to_string(template, context), None, [email])
    except OSError:  # every error of smtplib is one
        logger.exception("The mail of a link (%s) was not sent.", template)
        return False
    return True
