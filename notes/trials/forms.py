"""The forms of a trial."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.base import LengthsMixin
from core.models import User
from notes.form_fields import NotesChoice, songs_of
from notes.models import Alternative, AlternativeVerdict, Note, Trial
from notes.queries import for_cards
from notes.states import unsettled
from notes.trials import decide, services
from rigs.editing.guarded import STALE
from rigs.editing.swaps import AsksAboutSwaps
from rigs.models import Device, Input
from rigs.revisions.read import NoSuchRevision
from rigs.swaps import Swap


class TrialForm(forms.ModelForm):  # type: ignore[type-arg]
    because_of = NotesChoice(
        queryset=None,
        required=False,
        label=gettext_lazy("because of"),
        help_text=gettext_lazy("The open notes that this trial looks into."),
    )

    class Meta:
        model = Trial
        fields = ["question", "song", "because_of"]

    def __init__(self, *args: Any, input: Input, by: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.input, self.by = input, by
        rig = input.rig
        fields = cast("dict[str, forms.ModelChoiceField]", self.fields)  # type: ignore[type-arg]
        fields["song"].queryset = songs_of(rig.production)
        fields["because_of"].queryset = for_cards(unsettled(Note.objects.filter(rig=rig)))
        if not fields["because_of"].queryset.exists():
            del self.fields["because_of"]

    def try_open(self) -> Trial | None:
        """The new trial; None if the form has errors."""
        if not self.is_valid():
            return None
        cleaned = self.cleaned_data
        try:
            return services.open_trial(
                input=self.input,
                question=cleaned["question"],
                song=cleaned["song"],
                by=self.by,
                because_of=cleaned.get("because_of", ()),
            )
        except ValidationError as error:
            self.add_error(None, error)
            return None


class AlternativeForm(LengthsMixin, forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = Alternative
        fields = ["device", *(row.name for row in services.placement_fields())]
        help_texts = {
            "aimed_at": gettext_lazy(
                "Leave the placement empty to try it where the input stands now."
            )
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.set_up_lengths()
        trial = self.instance.trial
        live = Device.objects.filter(production=trial.production_id, retired_at=None)
        device = cast("forms.ModelChoiceField", self.fields["device"])  # type: ignore[type-arg]
        device.queryset, device.label = live, _("microphone or DI")

    def clean(self) -> dict[str, Any]:
        return self.spread_lengths(super().clean() or self.cleaned_data)

    def try_add(self) -> bool:
        if not self.is_valid():
            return False
        stored = [name for row in services.placement_fields() for name in row.stored]
        placement = {name: self.cleaned_data.get(name) for name in stored}
        try:
            services.add_alternative(
                trial=self.instance.trial, device=self.cleaned_data["device"], placement=placement
            )
        except ValidationError as error:
            self.add_error(None, error)
            return False
        return True


class VerdictForm(forms.Form):
    verdict = forms.ChoiceField(
        label=gettext_lazy("Your verdict"),
        choices=[
            (choice.value, choice.label)
            for choice in (AlternativeVerdict.POSSIBLE, AlternativeVerdict.REJECTED)
        ],
        widget=forms.RadioSelect,
    )
    words = forms.CharField(
        label=gettext_lazy("what was heard"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def try_give(self, alternative: Alternative) -> bool:
        if not self.is_valid():
            return False
        try:
            services.give_verdict(alternative=alternative, **self.cleaned_data)
        except ValidationError as error:
            self.add_error(None, error)
            return False
        return True


class DecisionForm(AsksAboutSwaps):
    """Why this one, and what becomes of what was set for the old device (`swaps`). `base` is the
    change of the rig that the page was opened on."""

    decision = forms.CharField(
        label=gettext_lazy("why"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy(
            "Becomes a listening note and, with the notes behind the trial, the reason."
        ),
    )
    base = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, *args: Any, swaps: Sequence[Swap] = (), **more: Any) -> None:
        super().__init__(*args, **more)
        self.add_swaps(swaps)

    def decide_on(self, number: int) -> None:
        """Let the form decide on the rig as of change `number`, which its next page shows."""
        # A copy, because the data of a request cannot be written to.
        self.data = dict(self.data.items()) | {self.add_prefix("base"): str(number)}

    def try_choose(self, alternative: Alternative, by: User) -> bool:
        """Choose `alternative`; False where the form has errors to show. Raises Conflict."""
        if not self.is_valid():
            return False
        cleaned = self.cleaned_data
        try:
            decide.choose(
                alternative=alternative,
                words=cleaned["decision"],
                by=by,
                base=cleaned["base"],
                decided=self.decided_on(alternative.trial.input_id),
            )
        except NoSuchRevision:
            self.add_error(None, STALE)
            return False
        except ValidationError as error:
            self._show(error)
            return False
        return True

    def _show(self, error: ValidationError) -> None:
        """An error at a field of the input has no field here; it heads the form."""
        known = getattr(error, "error_dict", {}).keys() <= self.fields.keys()
        self.add_error(None, error if known else ValidationError(error.messages))


class UnchangedForm(forms.Form):
    decision = forms.CharField(
        label=gettext_lazy("why it stays as it is"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    settle_notes = forms.BooleanField(
        required=False, label=gettext_lazy("Settle the notes behind this trial with these words")
    )

    def __init__(self, *args: Any, trial: Trial, **more: Any) -> None:
        super().__init__(*args, **more)
        self.trial = trial
        if not trial.because_of.all():
            del self.fields["settle_notes"]

    def try_leave_unchanged(self, by: User) -> bool:
        if not self.is_valid():
            return False
        cleaned = self.cleaned_data
        try:
            decide.leave_unchanged(
                trial=self.trial,
                words=cleaned["decision"],
                by=by,
                settle_notes=cleaned.get("settle_notes", False),
            )
        except ValidationError as error:
            self.add_error(None, error)
            return False
        return True
