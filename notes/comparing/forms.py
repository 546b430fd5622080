"""Choose clips: to hear side by side, and to tie to a change or to an alternative."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.dates import day
from core.models import User
from notes.comparing.evidence import tie_to_alternative, tie_to_change, to_choose_from
from notes.comparing.sides import FEWEST, MOST
from notes.models import Alternative, ChangeClip, Clip
from rigs.models import Input, Revision

_SHOWN = 60  # clips to choose from: the newest


class ClipChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """One clip, by name, input and day."""

    def label_from_instance(self, obj: Any) -> str:
        return clip_label(obj)


class ClipsChoice(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, obj: Any) -> str:
        return clip_label(obj)


def clip_label(clip: Clip) -> str:
    made = day(clip.recorded_at or clip.brought_at)
    about = _(", ").join([str(clip.input), *filter(None, [clip.take]), made])
    return _("{clip} ({about})").format(clip=clip, about=about)


class CompareClipsForm(forms.Form):
    """The clips of one input that are to be heard side by side."""

    clip = ClipsChoice(
        queryset=Clip.objects.none(),
        label=gettext_lazy("clips"),
    )

    def __init__(self, *args: Any, input: Input, **more: Any) -> None:
        super().__init__(*args, **more)
        clips = to_choose_from(input.rig, input)
        # By their keys: a field filters its choices further, which Django refuses after a slice.
        newest = clips.values_list("pk", flat=True)[:_SHOWN]
        field = self.fields["clip"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101 - declared so above
        field.queryset = clips.filter(pk__in=list(newest))
        field.help_text = _(
            "{fewest} to {most}. The first one is what the others are read against."
        ).format(fewest=FEWEST, most=MOST)


class ChangeClipForm(forms.Form):
    clip = ClipChoice(
        queryset=Clip.objects.none(),
        error_messages={"required": gettext_lazy("Choose a clip.")},
        label=gettext_lazy("Clip"),
    )
    side = forms.ChoiceField(
        label=gettext_lazy("recorded"),
        widget=forms.RadioSelect,
        choices=[
            ("before", gettext_lazy("before the change")),
            ("after", gettext_lazy("after the change")),
        ],
        error_messages={
            "required": gettext_lazy("Say whether it is from before the change or after it.")
        },
    )

    def __init__(self, *args: Any, revision: Revision, **more: Any) -> None:
        super().__init__(*args, **more)
        self.revision = revision
        _offer(self.fields["clip"], to_choose_from(revision.rig))

    def tie(self, by: User) -> ChangeClip:
        """Tie the chosen clip to the change. Raises ValidationError."""
        cleaned = self.cleaned_data
        return tie_to_change(
            revision=self.revision, clip=cleaned["clip"], side=cleaned["side"], by=by
        )


class AlternativeClipForm(forms.Form):
    clip = ClipChoice(
        queryset=Clip.objects.none(),
        help_text=gettext_lazy("What the input sounded like through this one."),
        error_messages={"required": gettext_lazy("Choose a clip.")},
        label=gettext_lazy("Clip"),
    )

    def __init__(self, *args: Any, alternative: Alternative, **more: Any) -> None:
        super().__init__(*args, **more)
        self.alternative = alternative
        trial = alternative.trial
        _offer(self.fields["clip"], to_choose_from(trial.rig, trial.input))

    def tie(self, by: User) -> Any:
        """Tie the chosen clip to the alternative. Raises ValidationError."""
        return tie_to_alternative(
            alternative=self.alternative, clip=self.cleaned_data["clip"], by=by
        )


def _offer(field: forms.Field, clips: Any) -> None:
    assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - declared so above
    field.queryset = clips
