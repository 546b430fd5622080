"""Devices made from a few words: several at once, or in place on the form of an input."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from itertools import count
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.lines import lines_field
from core.models import Production
from rigs.editing.kinds import InputForm
from rigs.fields import DEVICE
from rigs.inputs.device_words import EXAMPLE, DeviceDraft, Line, read_lines
from rigs.models import Device, Input

SAMPLE = gettext_lazy(
    "dynamic cardioid, Hallam D2\n2 × condenser omni, Tarn Small 5\nactive DI, Tarn Box"
)
WORDS, SEEN = "new_device", "new_device_seen"


def read_of(production: Production, words: str) -> Line:
    """The words as a device that could be made in `production`. Two queries."""
    return (lines_of(production, [words]) or [Line("")])[0]


def lines_of(production: Production, lines: Iterable[str]) -> list[Line]:
    """Raises ValueError for more lines than are taken at once. Two queries."""
    devices = list(production.devices.order_by().only("name", "maker"))
    makers = {device.maker for device in devices}
    return read_lines(lines, makers, [str(device) for device in devices])


@transaction.atomic
def add_devices(production: Production, drafts: Sequence[DeviceDraft]) -> list[Device]:
    """Raises ValidationError for values that cannot be."""
    made = [Device(production=production, **draft.fields) for draft in drafts]
    for device in made:
        device.full_clean()
        device.save()
    return made


class DeviceWords(forms.TextInput):
    """A line of words, with what was read of it below; the server reads along while one types."""

    line: Line | None = None

    def __init__(self, read_url: str) -> None:
        super().__init__(
            {
                "placeholder": EXAMPLE,
                "autocomplete": "off",
                "autocapitalize": "off",
                "spellcheck": "false",
                "data-read-at": read_url,
                "data-read-into": "new-device-read",
            }
        )

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> Any:
        """The control, and the reading of what stands in it."""
        typed = super().render(name, value, attrs, renderer)
        return render_to_string(
            "rigs/inputs/_device_words.html", {"typed": typed, "line": self.line}
        )


class InputPageForm(InputForm):
    """An input with a device of the catalogue, or with a new one in a few words, made with it.

    Nothing is made that nobody looked at: the words that were shown as read come along in
    `new_device_seen`, and others bring the form back.
    """

    GROUPS = tuple(
        (title, (*names[:1], WORDS, *names[1:]) if title == DEVICE else names)
        for title, names in InputForm.GROUPS
    )
    new_device: Device | None = None

    def limit_choices(self) -> None:
        super().limit_choices()
        read_url = reverse("rigs:device_read", args=[self.rig.production_id])
        self.fields[WORDS] = forms.CharField(
            label=_("Or a new one, in a few words"),
            required=False,
            max_length=300,
            widget=DeviceWords(read_url),
            help_text=_("Its kind, then maker and name. It is made together with the input."),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        words = cleaned.get(WORDS, "")
        if words and self.choice("device") != "now":
            try:
                self._read(words)
            except ValidationError as refusal:
                self.add_error(WORDS, refusal)
        return cleaned

    def _read(self, words: str) -> None:
        # In a conflict, what the list had stands for nothing: the words were meant in its place.
        is_chosen = "device" in self.changed_data and "device" not in self.asked
        if is_chosen and self.cleaned_data.get("device"):
            raise ValidationError(_("Choose one above or describe a new one, not both."))
        line = read_of(self.rig.production, words)
        self.fields[WORDS].widget.line = line
        if line.draft is None:
            raise ValidationError(line.wrong)
        device = Device(production=self.rig.production, **line.draft.fields)
        try:
            device.full_clean()
        except ValidationError as refusal:
            raise ValidationError(refusal.messages) from None
        if " ".join(str(self.data.get(self.add_prefix(SEEN), "")).split()) != line.text:
            raise ValidationError(
                _("Nothing is saved yet. Look at what was read, then save again.")
            )
        self.new_device = device

    def for_another(self) -> dict[str, Any]:
        """The next microphone usually stands at the same unit, on the next free channel."""
        number, unit = self.cleaned_data.get("number"), self["unit"].value()
        if number is None:
            return {"unit": unit}
        taken = set(Input.objects.live().filter(rig=self.rig).values_list("number", flat=True))
        return {"unit": unit, "number": next(n for n in count(number + 1) if n not in taken)}

    def prepare(self) -> None:
        if self.new_device:
            self.new_device.save()

    def typed(self) -> list[str]:
        """A new device counts as one that was chosen."""
        return list(dict.fromkeys([*super().typed(), *(["device"] if self.new_device else [])]))

    def _values(self, names: list[str]) -> dict[str, Any]:
        values = super()._values(names)
        if self.new_device and "device" in names:
            values["device"] = self.new_device
        return values

    def _chosen(self) -> str:
        """A new device has another id at each attempt, and its words stand for it."""
        if not self.new_device:
            return super()._chosen()
        return hashlib.sha256(self.cleaned_data[WORDS].encode()).hexdigest()[:12]

    def retain_typed(self, older: Any, names: Iterable[str]) -> None:
        super().retain_typed(older, [*names, WORDS])
        if words := self.initial.get(WORDS):
            widget: Any = self.fields[WORDS].widget
            widget.line = read_of(self.rig.production, words)

    def typed_text(self, name: str) -> str:
        if name == "device" and (words := self.still_typed(WORDS)):
            return _("new: {words}").format(words=words)
        return super().typed_text(name)


class LinesForm(forms.Form):
    """Devices, one a line, as they are first written."""

    lines = lines_field(
        gettext_lazy("Microphones and DIs, one a line"),
        gettext_lazy(
            "Its kind, then maker and name. “3 ×” in front is how many you own. You see what was "
            "read before anything is saved."
        ),
        SAMPLE,
        gettext_lazy("Write at least one."),
    )
    read: list[Line]

    def __init__(self, production: Production, *args: Any, **more: Any) -> None:
        self.production = production
        super().__init__(*args, **more)

    def clean_lines(self) -> str:
        text: str = self.cleaned_data["lines"]
        try:
            self.read = lines_of(self.production, text.splitlines())
        except ValueError as error:
            raise ValidationError(str(error)) from None
        return text
