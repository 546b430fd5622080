"""What all forms that guests fill in have in common: their name, and a limit on how often."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.authors import GuestAuthor
from core.models import GuestLink, Show

AN_HOUR = timedelta(hours=1)
MOST_AN_HOUR = 60  # lines of history by guests, of one show
NAME_LENGTH = 100


def show_of(link: GuestLink) -> Show | None:
    """The show that the link is about, with its leg and production. One query."""
    shows = Show.objects.select_related("leg__production")
    return shows.filter(pk=link.subject, leg__production=link.production_id).first()


class AskedForm(forms.Form):
    """`guest_name` comes last on the page; the fields of each form stand before it."""

    guest_name = forms.CharField(
        label=gettext_lazy("Your name"),
        max_length=NAME_LENGTH,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={
            "required": gettext_lazy("Write your name, so that the crew knows whom to ask.")
        },
    )

    @property
    def author(self) -> GuestAuthor:
        return GuestAuthor(self.cleaned_data["guest_name"])


def check_not_too_often(changes: QuerySet[Any]) -> None:
    """Raises ValidationError where guests wrote as much lately as a guest can be meant to."""
    lately = changes.filter(by=None, at__gt=clock.now() - AN_HOUR)
    if lately.count() >= MOST_AN_HOUR:
        raise ValidationError(_("That is a lot within an hour. Try again later, or telephone."))
