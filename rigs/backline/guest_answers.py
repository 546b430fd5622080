"""A hire firm fills in the specification itself: what it sends, or that it has none.

Nothing else of an answer is theirs: whether it is accepted, and what came, the crew says.
"""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.authors import GuestAuthor
from core.guests.asked import AskedForm, check_not_too_often, show_of
from core.models import GuestLink, Show
from core.places import GuestForm
from rigs.backline.compare import named
from rigs.backline.lines import Asked, asked_at
from rigs.backline.services import check_live, save_answer
from rigs.models import BacklineAnswer, BacklineChange

# Stored as the remark, so the same in every language.
NONE = "We have none."
OFFERS = [
    ("", gettext_lazy("not said yet")),
    ("wanted", gettext_lazy("as wanted")),
    ("other", gettext_lazy("something else: write what")),
    ("none", gettext_lazy("we have none")),
]
_TEXT = BacklineAnswer._meta


class FirmForm(AskedForm):
    """For each line: whether it comes as wanted, what comes instead, and what to know about it."""

    def __init__(self, lines: list[Asked], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.lines = lines
        for n, asked in enumerate(lines):
            self._add(n, asked)

    def _add(self, n: int, asked: Asked) -> None:
        seen = asked.answer.version if asked.answer else 0
        offered = asked.answer.offered if asked.answer else ""
        about = asked.answer.notes if asked.answer else ""
        what = asked.line.what
        offers = OFFERS if named(asked.line.wanted) else [o for o in OFFERS if o[0] != "wanted"]
        self.fields[f"offer-{n}"] = forms.ChoiceField(
            label=f"{asked.line.count} × {what}",
            choices=offers,
            required=False,
            initial="none" if about == NONE else ("other" if offered else ""),
        )
        self.fields[f"offered-{n}"] = forms.CharField(
            label=_("What you send, as you call it"),
            required=False,
            max_length=_TEXT.get_field("offered").max_length,
            initial=offered,
        )
        self.fields[f"about-{n}"] = forms.CharField(
            label=_("To know about it"),
            required=False,
            max_length=_TEXT.get_field("notes").max_length,
            initial="" if about == NONE else about,
        )
        self.fields[f"seen-{n}"] = forms.IntegerField(
            widget=forms.HiddenInput,
            min_value=0,
            initial=seen,
        )
        # The line itself, so that one that was added meanwhile does not move the others.
        self.fields[f"line-{n}"] = forms.UUIDField(widget=forms.HiddenInput, initial=asked.line.pk)

    @property
    def rows(self) -> list[tuple[Asked, list[Any], list[Any]]]:
        """Each line with its fields: what is seen, and what is hidden."""
        return [
            (
                asked,
                [self[f"{name}-{n}"] for name in ("offer", "offered", "about")],
                [self[f"{name}-{n}"] for name in ("seen", "line")],
            )
            for n, asked in enumerate(self.lines)
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for n in range(len(self.lines)):
            if cleaned.get(f"offer-{n}") == "other" and not cleaned.get(f"offered-{n}"):
                self.add_error(f"offered-{n}", _("Write what it is."))
        return cleaned

    def said(self, n: int) -> tuple[str, str]:
        """What is offered for a line, and what is to be known about it."""
        offer, about = self.cleaned_data[f"offer-{n}"], self.cleaned_data[f"about-{n}"]
        if offer == "none":
            return "", about or NONE
        if offer == "wanted":
            first = named(self.lines[n].line.wanted)[0]
            return first[: _TEXT.get_field("offered").max_length], about
        return (self.cleaned_data[f"offered-{n}"] if offer else ""), about


def asked(link: GuestLink, data: QueryDict | None) -> GuestForm | None:
    """The form of a show's specification; with `data` it is put down, once."""
    if link.kind != "backline":
        return None
    show = show_of(link)
    if show is None:
        return None
    form = FirmForm(asked_at(show), data)
    is_done = data is not None and form.is_valid() and _put_down(form, show)
    return GuestForm("rigs/backline/_guest_form.html", form, {"show": show}, is_done)


def _put_down(form: FirmForm, show: Show) -> bool:
    """All of it or nothing; sent again it changes nothing. Whether it is on record."""
    try:
        with transaction.atomic():
            # Two who answer at once take turns.
            held = Show.objects.select_for_update().get(pk=show.pk)
            check_live(show.leg, held)
            check_not_too_often(BacklineChange.objects.filter(show=show))
            form.lines = _as_sent(form, asked_at(show))
            for n, each in enumerate(form.lines):
                _answer(form, n, each, show, form.author)
            if form.errors:
                raise ValidationError("")
    except ValidationError as refused:
        if not form.errors:
            form.add_error(None, refused)
        return False
    return True


def _as_sent(form: FirmForm, now: list[Asked]) -> list[Asked]:
    """The lines in the order of the form. Raises ValidationError where they are others by now."""
    by_id = {each.line.pk: each for each in now}
    sent: list[Any] = [form.cleaned_data.get(f"line-{n}") for n in range(len(form.lines))]
    if {*sent} != {*by_id}:
        raise ValidationError(_("What is asked for has changed meanwhile. Look again, then send."))
    return [by_id[pk] for pk in sent]


def _answer(form: FirmForm, n: int, asked: Asked, show: Show, by: GuestAuthor) -> None:
    offered, about = form.said(n)
    row = asked.answer or BacklineAnswer(line=asked.line, show=show, version=0)
    if (row.offered, row.notes) == (offered, about):
        return  # nothing was said, or it was sent before
    if row.version != form.cleaned_data[f"seen-{n}"]:
        told = _("Somebody else answered this meanwhile: {what}.").format(
            what=row.offered or row.notes or _("nothing")
        )
        form.add_error(f"offer-{n}", told)
        return
    if row.offered != offered:
        # What was accepted was the other offer.
        row.reply = BacklineAnswer.Reply.OPEN
    row.offered, row.notes = offered, about
    row.from_whom = by.name[: _TEXT.get_field("from_whom").max_length]
    row.version += 1
    save_answer(row, by=by)
