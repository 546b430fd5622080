"""The field by which a form of a note takes a voice memo."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy

from core.languages.words import told
from notes.clips.formats import SoundError
from notes.memos.prepare import PreparedMemo, prepare_memo
from rigs.photos.forms import prepare_ahead

RECORD_AGAIN = gettext_lazy(
    "Record the memo or pick its file again: a page that comes back cannot hold it."
)


class MemoField(forms.FileField):
    """Cleans to a PreparedMemo. Without a script, a phone offers its recorder or its files."""

    def __init__(self, **more: Any) -> None:
        widget = forms.FileInput(attrs={"accept": "audio/*", "capture": "user"})
        super().__init__(widget=widget, **more)

    def clean(self, data: Any, initial: Any = None) -> PreparedMemo | None:
        if not data:
            return None
        try:
            return prepare_memo(data)
        except SoundError as error:
            raise ValidationError(told(error.words)) from None


class MemoFields(forms.Form):
    """What a form of a new note needs to take a memo with it."""

    memo = MemoField(label=gettext_lazy("voice memo"), required=False)

    def full_clean(self) -> None:
        super().full_clean()
        # A browser never fills a file field in again, so an error elsewhere costs the memo.
        if self.is_bound and self.errors and self.cleaned_data.get("memo"):
            self.add_error("memo", RECORD_AGAIN)
            self.fields["memo"].widget.attrs["data-again"] = "memo"


def prepare_files(request: HttpRequest) -> None:
    """Prepare the files of a form of a note before its transaction begins. What is wrong with a
    file is said by its field, which finds here what was made of it."""
    if memo := request.FILES.get("memo"):
        with suppress(SoundError):
            prepare_memo(memo)
    prepare_ahead(request, besides=["memo"])  # a sound is no picture to be tried
