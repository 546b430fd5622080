"""Forms of the specification: what is asked for, what was offered and came."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import connection

from core.forms.base import EditForm
from core.models import User
from rigs.backline.services import check_live, save_answer, save_line
from rigs.models import BacklineAnswer, BacklineLine

ROWS = 3


class _Stamped(EditForm):
    """An edit form whose author the history names; None is for the copy shown beside a clash."""

    def __init__(self, *args: Any, by: User | None = None, **more: Any) -> None:
        self.by = by
        super().__init__(*args, **more)

    @property
    def author(self) -> User:
        assert self.by is not None  # noqa: S101 - only what is sent is saved, and somebody sent it
        return self.by


class LineForm(_Stamped):
    """One thing that is asked for."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        check_live(self.instance.leg, self.instance.show)
        return cleaned

    def save(self, commit: bool = True) -> BacklineLine:
        line: BacklineLine = self.instance
        if not line._state.adding:
            line.version = self.cleaned_data["version"] + 1
        save_line(line, by=self.author)
        return line

    class Meta:
        model = BacklineLine
        fields = ("what", "count", "wanted", "accepted", "refused", "notes")
        widgets = {
            name: forms.Textarea(attrs={"rows": ROWS})
            for name in ("wanted", "accepted", "refused", "notes")
        }


class AnswerForm(_Stamped):
    """What was offered for one line at one show, and what came."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        check_live(self.instance.line.leg, self.instance.show)
        return cleaned

    def _check_not_stale(self, cleaned: dict[str, Any]) -> None:
        if not self.instance._state.adding:
            return super()._check_not_stale(cleaned)
        row: BacklineAnswer = self.instance
        # Two who answer first at once take turns at the line; the second is told.
        if connection.in_atomic_block:
            BacklineLine.objects.select_for_update().get(pk=row.line_id)
        if BacklineAnswer.objects.filter(line=row.line_id, show=row.show_id).exists():
            raise ValidationError(self.stale_message)
        return None

    def save(self, commit: bool = True) -> BacklineAnswer:
        row: BacklineAnswer = self.instance
        # A page without an answer says 0, so that one made meanwhile is noticed.
        row.version = 1 if row._state.adding else self.cleaned_data["version"] + 1
        save_answer(row, by=self.author)
        return row

    class Meta:
        model = BacklineAnswer
        fields = ("offered", "from_whom", "reply", "came", "came_count", "notes")
