"""The form for the words that accept a finding, or open it again."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from rigs.checks.acceptance import NO_WORDS, NO_WORDS_AGAIN


class AcceptForm(forms.Form):
    """The words on a finding; cleans to the arguments of `acknowledge`.

    `again` is sent where the finding is to be opened again.
    """

    signature = forms.CharField(
        max_length=64,
        widget=forms.HiddenInput,
        error_messages={"required": gettext_lazy("Pick the finding that this is about.")},
    )
    words = forms.CharField(
        label=gettext_lazy("Why it may stay as it is"),
        max_length=2000,
        widget=forms.Textarea({"rows": 2}),
        error_messages={"required": NO_WORDS},
    )
    again = forms.CharField(required=False, max_length=8, widget=forms.HiddenInput)

    def __init__(self, *args: Any, signature: str = "", opened: bool = True, **more: Any) -> None:
        # Several stand on one page: ids tell them apart by the finding they are about.
        more.setdefault("auto_id", f"id_%s_{signature[:12]}" if signature else "id_%s")
        more.setdefault("initial", {"signature": signature, "again": "" if opened else "yes"})
        super().__init__(*args, **more)
        if not opened or self.data.get("again"):
            self.fields["words"].label = gettext_lazy("Why it is open again")
            self.fields["words"].error_messages["required"] = NO_WORDS_AGAIN

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        cleaned["accept"] = not cleaned.pop("again", "")
        return cleaned
