"""Forms of two clips of one source: pick two clips, or upload both at once."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from core.languages.words import leading
from core.models import Production, Song, User
from notes.captures.uploads import upload_both
from notes.clips.upload_forms import ACCEPT
from notes.form_fields import songs_of
from notes.models import Clip
from notes.queries import inputs_of
from rigs.models import Input, Rig

THROUGH_DESK = gettext_lazy("Recorded behind the desk's polarity switches and delays")


class PairForm(forms.Form):
    first: Any = forms.ModelChoiceField(Clip.objects.none(), label=gettext_lazy("one clip"))
    second: Any = forms.ModelChoiceField(Clip.objects.none(), label=gettext_lazy("the other clip"))
    through_desk = forms.BooleanField(
        label=THROUGH_DESK,
        required=False,
        help_text=gettext_lazy(
            "Leave it off for direct outputs, a stage box or a recorder on the inputs."
        ),
    )

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        clips = Clip.objects.filter(production=production, retired_at=None)
        choices = clips.select_related("input__rig__player").order_by("input__rig", "-brought_at")
        self.too_few = clips.count() < 2  # noqa: PLR2004 - two captures
        for name in ("first", "second"):
            field = cast("Any", self.fields[name])
            field.queryset = choices
            field.label_from_instance = _label


def _label(clip: Clip) -> str:
    return leading(f"{clip.input.rig}, {clip.input}", clip)


class BothForm(forms.Form):
    """The upload of both tracks of one source at once."""

    first_file = forms.FileField(
        label=gettext_lazy("one track"),
        allow_empty_file=True,
        help_text=gettext_lazy("Or one file with both, left and right."),
        widget=forms.ClearableFileInput(attrs={"accept": ACCEPT}),
        error_messages={"required": gettext_lazy("Choose a sound.")},
    )
    first_input: Any = forms.ModelChoiceField(
        Input.objects.none(),
        label=gettext_lazy("its input"),
        empty_label=gettext_lazy("choose …"),
        error_messages={"required": gettext_lazy("Choose the input.")},
    )
    second_file = forms.FileField(
        label=gettext_lazy("the other track"),
        required=False,
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ACCEPT}),
        help_text=gettext_lazy("Leave it empty if the first file holds both."),
    )
    second_input: Any = forms.ModelChoiceField(
        Input.objects.none(),
        label=gettext_lazy("the other input"),
        empty_label=gettext_lazy("choose …"),
        error_messages={"required": gettext_lazy("Choose the input.")},
    )
    song: Any = forms.ModelChoiceField(
        Song.objects.none(),
        required=False,
        empty_label=gettext_lazy("no song in particular"),
        label=gettext_lazy("Song"),
    )
    take = forms.CharField(
        max_length=120,
        required=False,
        help_text=gettext_lazy("Take 4, 1:12 to 1:40."),
        label=gettext_lazy("Take"),
    )

    def __init__(self, *args: Any, rig: Rig, by: User, **more: Any) -> None:
        super().__init__(*args, **more)
        self.rig, self.by = rig, by
        for name in ("first_input", "second_input"):
            cast("Any", self.fields[name]).queryset = inputs_of(rig).select_related("device")
        cast("Any", self.fields["song"]).queryset = songs_of(rig.production)

    def try_upload(self) -> tuple[Clip, Clip] | None:
        """Both clips; None if the form has errors."""
        if not self.is_valid():
            return None
        sent = self.cleaned_data
        try:
            return upload_both(
                rig=self.rig,
                inputs=(sent["first_input"], sent["second_input"]),
                files=(sent["first_file"], sent["second_file"]),
                by=self.by,
                take=sent["take"],
                song=sent["song"],
            )
        except ValidationError as error:
            messages = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
            for name, words in messages.items():
                self.add_error(name if name in self.fields else None, words)
            return None
