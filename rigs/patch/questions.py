"""What guests asked about the patch of a show: read, answered and settled by the crew."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core import clock
from core.access.loaders import Member
from core.access.policy import Action, allowed
from core.composed import Composed, Several, column
from core.models import Production, Show, User
from core.places import ToDo
from core.services.to_dos import of_shows
from rigs.models import PatchChange, PatchQuestion
from rigs.patch.history import Says

SHOWN = 20
# Whoever may change the patch of a show.
MAY_ANSWER = Action.LINE_CHECK


class AnswerForm(forms.Form):
    """Left empty, it was settled by word of mouth."""

    answer = forms.CharField(
        label=gettext_lazy("Your answer"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=gettext_lazy(
            "Whoever asked reads it by their link. Left empty: settled, by word of mouth."
        ),
    )


def questions_of(show: Show | None) -> list[PatchQuestion]:
    """What guests asked about the patch of a show: what is open first, then the newest. One
    query."""
    if show is None:
        return []
    newest = list(PatchQuestion.objects.filter(show=show))
    return sorted(newest, key=lambda each: not each.is_open)[:SHOWN]


@transaction.atomic
def answer(question: PatchQuestion, words: str, *, by: User) -> None:
    """Close a question, with an answer or without. Raises ValidationError where somebody else
    answered it meanwhile; the same answer, sent again, changes nothing."""
    held = PatchQuestion.objects.select_for_update().select_related("show__leg")
    row = held.get(pk=question.pk)
    if (row.answered_by_id, row.answer) == (by.pk, words):
        return
    if not row.is_open:
        raise ValidationError(
            _("{name} answered this meanwhile: {words}").format(
                name=row.answered_by_name, words=row.answer or _("settled")
            )
        )
    said = Says.ANSWERED if words else Says.SETTLED
    change = PatchChange(production_id=row.show.leg.production_id, show=row.show)
    change.words = [said.in_english()]
    change.put_down(by)
    row.answer, row.answered_at = words, clock.now()
    row.answered_by, row.answered_by_name = by, by.name
    row.save(update_fields=["answer", "answered_at", "answered_by", "answered_by_name"])


def to_answer(user: User, members: Sequence[Member]) -> dict[UUID, list[ToDo]]:
    """What guests asked that nobody answered, by production, a line for each show. One query for
    any number of productions; none without a role that may answer."""
    places = [m.production.pk for m in members if allowed(m.roles, MAY_ANSWER)]
    if not places:
        return {}
    shows = [each.show for each in _open(places)]
    return of_shows(shows, _asked, "rigs:show_patch#questions", "message-circle-question-mark")


_open = Composed(
    lambda places: PatchQuestion.objects.filter(
        answered_at=None, show__retired_at=None, show__leg__production__pk__among=places
    ).select_related("show__leg"),
    Several(column(Production)),
)


def _asked(n: int, show: Show) -> str:
    return ngettext(
        "{n} question of a guest about the patch, {show}",
        "{n} questions of guests about the patch, {show}",
        n,
    ).format(n=n, show=show)
