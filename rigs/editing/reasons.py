"""The two fields that ask why a rig is changed. Whether a reason is needed, the gateway decides."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.reasons import CIRCUMSTANCES, LABELS, NO_REASON, Reason, ReasonKind

KINDS = [
    ("", gettext_lazy("no reason stated")),
    *((str(kind), gettext_lazy(LABELS[kind])) for kind in CIRCUMSTANCES),
]


class ReasonFields:
    """For a form: `reason_kind` and `reason_words`, and the Reason made of them."""

    fields: dict[str, forms.Field]
    cleaned_data: dict[str, Any]

    REASON_FIELDS: tuple[str, ...] = ("reason_kind", "reason_words")

    def add_reason_fields(self) -> None:
        self.fields["reason_kind"] = forms.ChoiceField(
            label="reason",
            choices=KINDS,
            required=False,
            help_text=_("Needed when a documented microphone, DI or its placement changes."),
        )
        self.fields["reason_words"] = forms.CharField(
            label=_("what happened"),
            required=False,
            max_length=2000,
            widget=forms.Textarea(attrs={"rows": 2}),
        )

    @property
    def asks_reason(self) -> bool:
        return "reason_kind" in self.fields

    def reason(self) -> Reason:
        """The reason that was typed; NO_REASON where none was, or none is asked."""
        kind = self.cleaned_data.get("reason_kind")
        words = (self.cleaned_data.get("reason_words") or "").strip()
        if not kind:
            return Reason(words=words) if words else NO_REASON
        return Reason(ReasonKind(kind), words)

    def reason_field(self) -> str | None:
        """Where a refusal for want of a reason belongs."""
        if not self.asks_reason:
            return None
        return "reason_words" if self.cleaned_data.get("reason_kind") else "reason_kind"
