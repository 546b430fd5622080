"""The last step of every log-in, whichever way it came, and the one between password and code."""

from __future__ import annotations

import time
from typing import Any, TypeVar

from django.conf import settings
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from core import themes
from core.access.accounts import Accounts
from core.device_choices import keep_on_device
from core.models import LogIn, User
from core.sign_in import confirming, devices, notices
from core.sign_in.sessions import BY, DEVICE

# Named, because there are two backends and Django cannot know which one let somebody in.
BACKEND = "core.access.accounts.Accounts"
NEW_DEVICE = {
    devices.PHONE: _("Your account was logged in to by {by}, from a phone not used before."),
    devices.COMPUTER: _(
        "Your account was logged in to by {by}, from a computer or tablet not used before."
    ),
    devices.PROGRAM: _("Your account was logged in to by {by}, from a program not used before."),
}
HALF, HALF_LASTS_S = "half_in", 600
R = TypeVar("R", bound=HttpResponse)


def enter(request: HttpRequest, person: User, *, by: LogIn.By, is_new: bool = False) -> None:
    """Log `person` in on this device. A device that is new to them is told by mail, unless the
    account itself `is_new`."""
    is_known = devices.is_known(request, person)
    login(request, person, backend=BACKEND)
    request.session.pop(HALF, None)
    request.session.set_expiry(None)
    words = devices.in_words(request)
    request.session.update({BY: str(by), DEVICE: words})
    confirming.confirm(request)
    devices.remember(request, person)
    if not is_known and not is_new:
        notices.tell(
            person,
            _("A log-in from a new device"),
            format_lazy(NEW_DEVICE[words], by=by.label),
        )


def begin_half(request: HttpRequest, person: User, going_to: str) -> None:
    """The password was right; the code is to follow, within ten minutes."""
    request.session.cycle_key()
    # Who is half in is not told by the session's own column: it lists log-ins.
    request.session[HALF] = [str(person.pk), going_to, time.time()]
    request.session.set_expiry(HALF_LASTS_S)


def half_in(request: Any) -> tuple[User, str] | None:
    """Who gave the right password in this browser, and where they wanted to go."""
    person, going_to, since = request.session.get(HALF, ["", "", 0.0])
    if time.time() - since > HALF_LASTS_S:
        return None
    # As for every log-in: closed accounts stay out.
    found = Accounts().get_user(person)
    return (found, going_to) if isinstance(found, User) else None


def bring_choices(response: R, person: Any) -> R:
    """What somebody chose for every device, on the one where they log in."""
    choices = {themes.COOKIE: person.theme, settings.LANGUAGE_COOKIE_NAME: person.language}
    for cookie, choice in choices.items():
        if choice:
            keep_on_device(response, cookie, choice)
    return response
