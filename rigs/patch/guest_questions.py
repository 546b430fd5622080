"""A house engineer asks about a show's patch, or marks ways of it that are not right for the house.

The patch itself stays as it is. The crew reads the question on the page of the patch and among what
waits for them, and answers it there (rigs.patch.questions).
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
from rigs.models import PatchChange, PatchQuestion
from rigs.patch.history import OfGuests
from rigs.patch.rows import patch_and_rows
from rigs.shows.players import who_plays

SAME_WITHIN = timedelta(days=1)  # the same words of the same name are one question


class QuestionForm(AskedForm):
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

    def asked(self, link: GuestLink, show: Show) -> PatchQuestion:
        """What they ask, not on record yet."""
        return PatchQuestion(
            show=show,
            ways=[self.titles[way] for way in self.cleaned_data["ways"]],
            words=self.cleaned_data["words"],
            asked_name=self.author.name,
            came_by=link.pk,
        )


def asked(link: GuestLink, data: QueryDict | None) -> GuestForm | None:
    """The form of a show's patch, and what was asked by this link before; with `data` it is put
    down, once."""
    if link.kind != "patch":
        return None
    show = show_of(link)
    if show is None:
        return None
    form = QuestionForm(_ways(show.leg.production, show), data)
    is_done = data is not None and form.is_valid() and _put_down(form, link, show)
    earlier = PatchQuestion.objects.filter(show=show, came_by=link.pk)
    context = {"show": show, "questions": earlier}
    return GuestForm("rigs/patch/_guest_form.html", form, context, is_done)


def _ways(production: Production, show: Show) -> list[tuple[str, str]]:
    _, rows = patch_and_rows(production, show, who_plays(show))
    return [(str(row.entry_id), f"{row.channel} {row.name}".strip()) for row in rows]


def _put_down(form: QuestionForm, link: GuestLink, show: Show) -> bool:
    try:
        with transaction.atomic():
            # The same, sent twice at once, takes turns.
            if Show.objects.select_for_update().get(pk=show.pk).is_retired:
                raise ValidationError(_("This show is not played any more."))
            question = form.asked(link, show)
            if not _is_on_record(question):
                check_not_too_often(PatchChange.objects.filter(show=show))
                _record(form, question, show)
    except ValidationError as refused:
        form.add_error(None, refused)
        return False
    return True


def _is_on_record(question: PatchQuestion) -> bool:
    lately = PatchQuestion.objects.filter(
        show=question.show_id,
        asked_name=question.asked_name,
        words=question.words,
        asked_at__gt=clock.now() - SAME_WITHIN,
    )
    return any(each.ways == question.ways for each in lately)


def _record(form: QuestionForm, question: PatchQuestion, show: Show) -> None:
    # Kept in the history of the patch, in no language of whoever writes.
    said = (
        OfGuests.MARKED.in_english(ways="; ".join(question.ways))
        if question.ways
        else OfGuests.ASKED.in_english()
    )
    change = PatchChange(production_id=show.leg.production_id, show=show, words=[said])
    change.put_down(form.author)
    question.asked_at = change.at
    question.save(force_insert=True)
