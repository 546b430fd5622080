"""Forms of long recordings: bring a file, correct a take, cut a clip by take and channel."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.base import EditForm
from core.languages.words import leading
from core.models import Production, User
from notes.clips.form_fields import DateTimeInput, TimeInput
from notes.clips.survey import SILENT_DB
from notes.clips.times import format_time
from notes.clips.upload_forms import ACCEPT
from notes.clips.uploads import on_disk
from notes.form_fields import songs_of
from notes.models import Clip, ListeningSession, RecordedFile, Recording, Take
from notes.takes.services import (
    Brought,
    Wanted,
    bring,
    changed,
    check_session,
    check_span,
    cut_clip,
    lock,
    say_song,
)
from rigs.models import Input

_SHOWN_S = Decimal("0.01")


class BringForm(forms.Form):
    """One file of a session."""

    file = forms.FileField(
        label=gettext_lazy("sound"),
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ACCEPT}),
        error_messages={"required": gettext_lazy("Choose a sound.")},
    )
    session: Any = forms.ModelChoiceField(
        queryset=None, empty_label=gettext_lazy("choose …"), label=gettext_lazy("Session")
    )
    together: Any = forms.ModelChoiceField(
        queryset=None,
        required=False,
        label=gettext_lazy("ran together with"),
        empty_label=gettext_lazy("nothing: a recording of its own"),
        help_text=gettext_lazy(
            "For recorders that write each channel as a file: they begin and end together."
        ),
    )
    name = forms.CharField(
        max_length=120,
        required=False,
        help_text=gettext_lazy("Left empty: what the file is called."),
        label=gettext_lazy("Name"),
    )
    began_at = forms.DateTimeField(
        label=gettext_lazy("began"),
        required=False,
        widget=DateTimeInput,
        help_text=gettext_lazy(
            "Left empty: what the recorder wrote. Notes with a time then tell the song."
        ),
    )

    def __init__(self, *args: Any, production: Production, **more: Any) -> None:
        super().__init__(*args, **more)
        sessions = ListeningSession.objects.filter(production=production)
        cast("Any", self.fields["session"]).queryset = sessions
        recordings = Recording.objects.filter(production=production)
        cast("Any", self.fields["together"]).queryset = recordings

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        check_session(cleaned.get("together"), cleaned.get("session"))
        return cleaned

    def try_bring(self, by: User) -> Recording | None:
        """The recording; None with the errors in the form."""
        given = dict(self.cleaned_data)
        file = given.pop("file")
        try:
            with on_disk(file=file) as path:
                return bring(
                    Brought(path=path, file_name=file.name, **given),
                    by=by,
                    most_bytes=settings.CLIP_MAX_BYTES,
                    within_s=settings.RECORDING_WORK_SECONDS,
                )
        except ValidationError as error:
            self.add_error(None, error)
            return None


class RecordingForm(EditForm):
    class Meta:
        model = Recording
        fields = ("name", "began_at")
        widgets = {"began_at": DateTimeInput}

    def save(self, commit: bool = True) -> Any:
        with transaction.atomic():
            recording = super().save(commit=commit)
            # When it began says which notes were written while it ran.
            changed(lock(recording))
        return recording


class TakeForm(EditForm):
    """Borders, song and name of a take; a new one where the instance is not saved yet."""

    starts_s = TimeInput(label=gettext_lazy("from"))
    ends_s = TimeInput(label=gettext_lazy("to"))

    class Meta:
        model = Take
        fields = ("song", "name", "starts_s", "ends_s")
        help_texts = {"name": gettext_lazy("“slow”, “false start”: besides its song, if anything.")}

    def __init__(self, *args: Any, by: User | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.by = by
        song = cast("Any", self.fields["song"])
        song.queryset = songs_of(self.instance.recording.production) | song.queryset.filter(
            pk=self.instance.song_id
        )
        song.empty_label = _("no song in particular")
        for name in ("starts_s", "ends_s"):
            self.fields[name].required = True
            value = self.initial.get(name)
            self.initial[name] = format_time(value) if isinstance(value, Decimal) else value

    def clean(self) -> dict[str, Any]:
        # Locked before anything is compared: two who move borders at once wait here.
        if transaction.get_connection().in_atomic_block:
            self.recording = lock(self.instance.recording)
        cleaned = super().clean()
        starts, ends = (self._snapped(cleaned.get(name)) for name in ("starts_s", "ends_s"))
        if starts is not None and ends is not None:
            cleaned |= {"starts_s": starts, "ends_s": ends}
            but = None if self.instance._state.adding else self.instance
            check_span(self.instance.recording, starts, ends, but)
        return cleaned

    def _snapped(self, typed: Decimal | None) -> Decimal | None:
        """The border that is shown as what was typed: times are shown to the hundredth."""
        if typed is None:
            return None
        recording = self.instance.recording
        rows = recording.takes.values_list("starts_s", "ends_s")
        borders = [recording.seconds, *(border for row in rows for border in row)]
        return next((each for each in borders if abs(each - typed) < _SHOWN_S), typed)

    def save(self, commit: bool = True) -> Any:
        self.instance.by = self.by
        # Saving a take says its song, also where it is what had been proposed.
        say_song(self.instance, self.cleaned_data["song"])
        with transaction.atomic():
            take = super().save(commit=commit)
            changed(take.recording)
        return take


class SplitForm(forms.Form):
    at_s = TimeInput(
        label=gettext_lazy("split it at"), help_text=gettext_lazy("In the recording: 12:05.")
    )

    def clean_at_s(self) -> Decimal:
        at: Decimal | None = self.cleaned_data["at_s"]
        if at is None:
            raise ValidationError(_("Write where the second take begins."))
        return at


class InputChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    def label_from_instance(self, obj: Any) -> str:
        return leading(obj.number or "", f"{obj.name} ({obj.rig.player}, {obj.rig})")


class TakeClipForm(forms.Form):
    """Which channel of a take is cut, and what it is a recording of."""

    channel = forms.ChoiceField(choices=(), label=gettext_lazy("Channel"))
    input = InputChoice(
        queryset=None,
        required=False,
        empty_label=gettext_lazy("what stands beside the channel"),
        help_text=gettext_lazy("What was plugged into it, where it is not the input beside it."),
        label=gettext_lazy("Input"),
    )
    from_s = TimeInput(
        label=gettext_lazy("from"),
        help_text=gettext_lazy("In the take. Left empty: from its beginning."),
    )
    to_s = TimeInput(label=gettext_lazy("to"), help_text=gettext_lazy("Left empty: to its end."))

    def __init__(self, *args: Any, take: Take, **more: Any) -> None:
        super().__init__(*args, **more)
        self.take = take
        production = take.recording.production
        inputs = Input.objects.filter(rig__production=production, retired=False, rig__retired=False)
        cast("Any", self.fields["input"]).queryset = inputs.select_related(
            "rig__player", "rig__production", "device"
        ).order_by("number", "name")
        files = take.recording.files.select_related("sound").order_by("position")
        self.channels = channels_of(list(files), production)
        cast("Any", self.fields["channel"]).choices = [
            ("", _("choose …")),
            *((each.key, each.label) for each in self.channels),
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        from_s = cleaned.get("from_s") or Decimal(0)
        to_s = cleaned.get("to_s")
        if to_s is not None and to_s <= from_s:
            self.add_error("to_s", _("The part ends before it begins."))
        chosen = next((each for each in self.channels if each.key == cleaned.get("channel")), None)
        if chosen is not None and cleaned.get("input") is None and "input" not in self.errors:
            cleaned["input"] = chosen.input
            if chosen.input is None:
                self.add_error("input", _("Choose it: nothing is known of this channel yet."))
        return cleaned

    def try_cut(self, by: User) -> Clip | None:
        """The clip; None with the errors in the form."""
        if not self.is_valid():
            return None
        given = self.cleaned_data
        chosen = next(each for each in self.channels if each.key == given["channel"])
        wanted = Wanted(
            input=given["input"],
            sound=chosen.file.sound,
            channel=chosen.number,
            from_s=given["from_s"] or Decimal(0),
            to_s=given["to_s"],
        )
        try:
            return cut_clip(self.take, wanted, by=by)
        except ValidationError as error:
            self._show(error)
            return None

    def _show(self, error: ValidationError) -> None:
        # The service that cuts speaks of the sound; this form has a take and a channel of it.
        names = {"left": "channel", "starts_s": "from_s", "seconds": "to_s", "file": "channel"}
        messages = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
        for name, words in messages.items():
            field = names.get(name, name)
            self.add_error(field if field in self.fields else None, words)


class Channel:
    """One channel of one file of a recording, from 1, and the input it was cut for last."""

    def __init__(self, file: RecordedFile, number: int, input: Input | None) -> None:
        self.file, self.number, self.input = file, number, input

    @property
    def key(self) -> str:
        return f"{self.file.pk}-{self.number}"

    @property
    def peak_db(self) -> float | None:
        peak: float | None = self.file.sound.found["channels"][self.number - 1]["peak_db"]
        return peak

    @property
    def label(self) -> str:
        one = self.file.sound.channels == 1
        name = (
            self.file.sound.name
            if one
            else _("Channel {number}, {name}").format(number=self.number, name=self.file.sound.name)
        )
        peak = self.peak_db
        label = leading(name, self.input.name) if self.input else name
        if peak is None or peak <= SILENT_DB:
            return _("{channel} (silent)").format(channel=label)
        return label


_NUMBER = re.compile(r"\d+")


def channels_of(files: list[RecordedFile], production: Production) -> list[Channel]:
    """All channels, each with the input that a clip was cut for from it last; else the one input of
    that number. Two queries."""
    cut: dict[tuple[int, int], Input] = {}
    sounds = [file.sound_id for file in files]
    clips = Clip.objects.filter(sound__in=sounds, right=None, input__retired=False)
    for clip in clips.select_related("input__rig").order_by("brought_at", "pk"):
        cut[clip.sound_id, clip.left] = clip.input
    numbered: dict[int, list[Input]] = {}
    for each in Input.objects.filter(
        rig__production=production, retired=False, rig__retired=False, number__isnull=False
    ).select_related("rig"):
        numbered.setdefault(each.number, []).append(each)
    return [
        Channel(
            file, channel, cut.get((file.sound_id, channel)) or _numbered(numbered, file, channel)
        )
        for file in files
        for channel in range(1, file.sound.channels + 1)
    ]


def _numbered(numbered: dict[int, list[Input]], file: RecordedFile, channel: int) -> Input | None:
    """The input with the channel's number; a file of one channel has the first number of its name.
    None where several rigs have it."""
    if file.sound.channels == 1:
        found = _NUMBER.search(file.sound.name)
        channel = int(found.group()[:4]) if found else 0
    inputs = numbered.get(channel, [])
    return inputs[0] if len(inputs) == 1 else None
