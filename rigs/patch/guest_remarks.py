"""A house engineer asks about a show's patch, or marks ways of it that are not right for the house.

It is a line of the patch's history under the name they typed; the patch itself stays as it is.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.guests.asked import AskedForm, check_not_too_often, show_of
from core.models import GuestLink, Production, Show
from core.places import GuestForm
from rigs.models import PatchChange
from rigs.patch.history import OfGuests
from rigs.patch.rows import patch_and_rows
from rigs.shows.players import who_plays

SAME_WITHIN = timedelta(days=1)  # the same words of the same name are one remark
SHOWN = 20


class RemarkForm(AskedForm):
    ways = forms.MultipleChoiceField(
        label=gettext_lazy("Ways it is about"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy(
            "Those that are not free, not there or not right for the house; or none."
        ),
    )
    words = forms.CharField(
        label=gettext_lazy("Your question, or what is not right"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": gettext_lazy("Write what you ask, or what is not right.")},
    )

    def __init__(self, ways: list[tuple[str, str]], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        field: Any = self.fields["ways"]
        field.choices = ways
        self.titles = dict(ways)

    @property
    def sentences(self) -> list[str]:
        marked = [self.titles[way] for way in self.cleaned_data["ways"]]
        # Kept in the history of the patch, in no language of whoever writes.
        words = self.cleaned_data["words"]
        if not marked:
            return [words]
        return [OfGuests.ABOUT.in_english(ways="; ".join(marked), words=words)]


def asked(link: GuestLink, data: QueryDict | None) -> GuestForm | None:
    """The form of a show's patch; with `data` it is put down, once."""
    if link.kind != "patch":
        return None
    show = show_of(link)
    if show is None:
        return None
    form = RemarkForm(_ways(show.leg.production, show), data)
    is_done = data is not None and form.is_valid() and _put_down(form, show)
    return GuestForm("rigs/patch/_guest_form.html", form, {"show": show}, is_done)


def _ways(production: Production, show: Show) -> list[tuple[str, str]]:
    _, rows = patch_and_rows(production, show, who_plays(show))
    return [(str(row.entry_id), f"{row.channel} {row.name}".strip()) for row in rows]


def _put_down(form: RemarkForm, show: Show) -> bool:
    try:
        with transaction.atomic():
            # The same, sent twice at once, takes turns.
            Show.objects.select_for_update().get(pk=show.pk)
            if show.is_retired:
                raise ValidationError(_("This show is not played any more."))
            written = PatchChange.objects.filter(show=show)
            check_not_too_often(written)
            since = clock.now() - SAME_WITHIN
            by = form.author
            # Names are kept apart from their rows: the database cannot compare them.
            theirs = written.filter(by=None, at__gt=since)
            said = {(row.by_name, *row.words) for row in theirs}
            if (by.name, *form.sentences) not in said:
                change = PatchChange(production_id=show.leg.production_id, show=show)
                change.words = form.sentences
                change.put_down(by)
    except ValidationError as refused:
        form.add_error(None, refused)
        return False
    return True


def remarks_of(show: Show | None) -> list[PatchChange]:
    """What guests said about the patch of a show, the newest first. One query."""
    if show is None:
        return []
    return list(PatchChange.objects.filter(show=show, by=None)[:SHOWN])
