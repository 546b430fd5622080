"""Forms that upload a clip: send a sound, say what it is, choose the part that is wanted."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import number
from core.models import User
from core.telephone.kinds import SOUNDS
from notes.clips.form_fields import (
    ChangeNumber,
    DateTimeInput,
    NoteChoice,
    TimeInput,
    change_of,
    offer,
)
from notes.clips.services import ClipRequest, check, fits_whole, make_clip, name_for, recorded_at
from notes.form_fields import SectionChoice
from notes.models import Clip, Note, StoredSound
from rigs.models import Rig

ACCEPT = ",".join(SOUNDS)
ABOUT = ("input", "song", "section", "session", "note", "take", "words", "title")


class ClipSubjectForm(forms.Form):
    """What a clip is a recording of. `rig` is given; the rest is asked."""

    input: Any = forms.ModelChoiceField(
        queryset=None, label=gettext_lazy("input"), empty_label=gettext_lazy("choose …")
    )
    title = forms.CharField(
        label=gettext_lazy("name"),
        max_length=120,
        required=False,
        help_text=gettext_lazy(
            "What it is called in lists. Left empty: what the recorder or the file says."
        ),
    )
    song: Any = forms.ModelChoiceField(queryset=None, required=False, label=gettext_lazy("Song"))
    section = SectionChoice(queryset=None, required=False, label=gettext_lazy("Section"))
    take = forms.CharField(
        max_length=120,
        required=False,
        help_text=gettext_lazy("Take 4, 1:12 to 1:40."),
        label=gettext_lazy("Take"),
    )
    session: Any = forms.ModelChoiceField(
        queryset=None, required=False, label=gettext_lazy("on the occasion of")
    )
    note = NoteChoice(
        queryset=None,
        required=False,
        help_text=gettext_lazy("The listening note that this clip belongs to."),
        label=gettext_lazy("Note"),
    )

    def __init__(self, *args: Any, rig: Rig, **more: Any) -> None:
        super().__init__(*args, **more)
        self.rig = rig
        offer(self, rig)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors:
            check(ClipRequest(rig=self.rig, **self._about(cleaned)))
        return cleaned

    def _about(self, cleaned: Mapping[str, Any]) -> dict[str, Any]:
        return {name: cleaned[name] for name in ABOUT if name in cleaned}

    def try_make(self, sound: StoredSound, by: User, **part: Any) -> Clip | None:
        """The clip, or None with the errors in the form."""
        about = self._about(self.cleaned_data)
        try:
            return make_clip(sound, by=by, rig=self.rig, **about, **part)
        except ValidationError as error:
            self.show(error)
            return None

    def show(self, error: ValidationError) -> None:
        """Each message beside its field, if the form has it."""
        messages = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
        for name, words in messages.items():
            self.add_error(name if name in self.fields else None, words)


class UploadForm(ClipSubjectForm):
    """The first step: a sound, and what is known of it at once."""

    file = forms.FileField(
        label=gettext_lazy("sound"),
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ACCEPT}),
        help_text=(
            gettext_lazy(
                "WAV or BWF, FLAC, AIFF, Ogg, MP3, or what a phone or a browser records. "
                "Up to 64 channels; you choose from them next."
            )
        ),
        error_messages={"required": gettext_lazy("Choose a sound.")},
    )
    field_order = ("file", "input", "title", "song", "section", "take", "session", "note")

    def whole(self, sound: StoredSound, by: User) -> Clip | None:
        """A clip of all of the sound, where nothing has to be chosen; else None."""
        if not fits_whole(sound):
            return None
        return self.try_make(sound, by, left=1, right=2 if sound.channels == 2 else None)


class CutForm(ClipSubjectForm):
    """The second step: which channels, from where to where, and what it is."""

    left = forms.TypedChoiceField(label=gettext_lazy("channel"), coerce=int)
    right = forms.TypedChoiceField(
        label=gettext_lazy("second channel"),
        coerce=int,
        required=False,
        empty_value=None,
        help_text=gettext_lazy("For two microphones of a pair, or a stereo recording."),
    )
    starts_s = TimeInput(
        label=gettext_lazy("from"), help_text=gettext_lazy("1:12.5; empty for the beginning")
    )
    ends_s = TimeInput(label=gettext_lazy("to"), help_text=gettext_lazy("1:40; empty for the end"))
    words = forms.CharField(
        label=gettext_lazy("what to listen for"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    number = ChangeNumber()
    recorded_at = forms.DateTimeField(
        label=gettext_lazy("recorded"),
        required=False,
        widget=DateTimeInput,
        help_text=gettext_lazy("When this part was recorded, if the recorder did not say."),
    )
    silent_ok = forms.BooleanField(
        label=gettext_lazy("Save it even if it is silent"),
        required=False,
        help_text=gettext_lazy("To show that a line was dead, or what its noise is."),
    )
    field_order = (
        "left",
        "right",
        "starts_s",
        "ends_s",
        "input",
        "title",
        "song",
        "section",
        "take",
        "words",
        "session",
        "note",
        "number",
        "recorded_at",
        "silent_ok",
    )

    def __init__(self, *args: Any, sound: StoredSound, rig: Rig, **more: Any) -> None:
        initial = {
            "title": name_for(sound),
            "number": rig.head_number,
            "left": 1,
            "recorded_at": recorded_at(sound, 0),
            "right": 2 if sound.channels == 2 else None,
        }
        more["initial"] = initial | {k: v for k, v in (more.get("initial") or {}).items() if v}
        super().__init__(*args, rig=rig, **more)
        self.sound = sound
        numbers = [(n, _("Channel {n}").format(n=n)) for n in range(1, sound.channels + 1)]
        self.fields["left"].choices = numbers  # type: ignore[attr-defined]
        self.fields["right"].choices = [("", "none"), *numbers]  # type: ignore[attr-defined]
        if sound.channels == 1:
            del self.fields["right"]
        if sound.seconds > settings.CLIP_MAX_SECONDS:
            self.fields["ends_s"].help_text = _("At most {most} s after that.").format(
                most=settings.CLIP_MAX_SECONDS
            )

    def clean_number(self) -> int:
        number: int = self.cleaned_data["number"]
        self.revision = change_of(self.rig, number)
        return number

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        starts, ends = cleaned.get("starts_s"), cleaned.get("ends_s")
        # Seconds are shown whole: who types the last one that is shown means the end.
        last = math.ceil(self.sound.seconds)
        if starts is not None and starts >= self.sound.seconds:
            return cleaned  # said beside where it begins, when it is cut
        if ends is not None and ends <= (starts or 0):
            self.add_error("ends_s", _("The section ends before it begins."))
        elif ends is not None and ends > last:
            self.add_error(
                "ends_s",
                _("The sound lasts {seconds} s. Leave this empty for its end.").format(
                    seconds=number(self.sound.seconds, 2)
                ),
            )
        return cleaned

    def show(self, error: ValidationError) -> None:
        # The service speaks of a length; this form asks for an end.
        if hasattr(error, "error_dict") and "seconds" in error.error_dict:
            error.error_dict["ends_s"] = error.error_dict.pop("seconds")
        super().show(error)

    def cut(self, by: User) -> Clip | None:
        of = self.cleaned_data
        starts, ends = of["starts_s"] or Decimal(0), of["ends_s"]
        # Unless somebody changed it, the service works it out from where the part begins.
        moved = "recorded_at" in self.changed_data
        return self.try_make(
            self.sound,
            by,
            left=of["left"],
            right=of.get("right"),
            starts_s=starts,
            seconds=None if ends is None else ends - starts,
            revision=self.revision,
            recorded_at=of["recorded_at"] if moved else None,
            silent_ok=of["silent_ok"],
        )


def start_of(query: Mapping[str, str], rig: Rig, note: Note | None) -> dict[str, Any]:
    """Initial values from an address; a note says what it was heard on and in which song."""
    asked = (*ABOUT, "left")  # a channel that was pressed
    start: dict[str, Any] = {name: query.get(name) for name in asked if query.get(name)}
    if note is not None:
        inputs = list(note.inputs.values_list("pk", flat=True)[:2])
        about = {
            "note": note.pk,
            "song": note.song_id,
            "section": note.section_id,
            "take": note.take,
            "session": note.session_id,
            # Of several inputs none is surely the one that was recorded.
            "input": inputs[0] if len(inputs) == 1 else None,
        }
        start = {name: value for name, value in about.items() if value} | start
    return start


def address_of(cleaned: Mapping[str, Any]) -> dict[str, str]:
    """What was typed in the first step, as part of the address of the second."""
    return {
        name: str(getattr(value, "pk", value))
        for name in ABOUT
        if (value := cleaned.get(name)) not in (None, "")
    }
