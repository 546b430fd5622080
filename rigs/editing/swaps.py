"""Forms through which another microphone or DI gets onto an input: they show what was set for the
old one and no longer fits, with the safe value put in, and take what is decided."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import each_of
from rigs.models import Input
from rigs.revisions.swaps import SwapUndecided
from rigs.swaps import Doubt, Swap
from rigs.wording.fields import text, word

LABELS = {
    "phantom": gettext_lazy("phantom power on"),
    "ground_lift": gettext_lazy("ground lift on"),
    "pad_db": gettext_lazy("pad, dB"),
    "pad_at": gettext_lazy("whose pad it is"),
    "gain_db": gettext_lazy("preamp gain, dB"),
}
ASKED = gettext_lazy("A safe value is put in. Save again to take it, or set another.")


class DecidesSwap:
    """For a form that has the device and its settings as fields of its own.

    Where something is doubtful the form comes back with the safe values in these fields and the
    doubt at each; `decided` then names the device and the fields, so that what stands in them when
    the form is sent again is a decision, changed or not.
    """

    fields: dict[str, forms.Field]
    cleaned_data: dict[str, Any]
    data: Any

    def add_decided(self) -> None:
        """Call in __init__."""
        self.fields["decided"] = forms.CharField(
            required=False, max_length=200, widget=forms.HiddenInput
        )

    def decided(self) -> list[str]:
        """The fields that were asked about for the device that is chosen. On a valid form."""
        device, _, names = self.cleaned_data.get("decided", "").partition(":")
        # Decided for another device than the one chosen now, so it has to be asked anew.
        if device != self._chosen():
            return []
        return [name for name in names.split(",") if name in LABELS and name in self.fields]

    def _chosen(self) -> str:
        device = self.cleaned_data.get("device")
        return str(device.pk) if device else "none"

    def ask(self, undecided: SwapUndecided) -> None:
        """Put the safe values in, and say at each field why it is asked."""
        data = cast("QueryDict", self.data).copy()
        doubts = [doubt for swap in undecided.swaps for doubt in swap.doubts]
        names = {*self.decided(), *(doubt.field for doubt in doubts)}
        data[self._key("decided")] = f"{self._chosen()}:{','.join(sorted(names))}"
        for doubt in doubts:
            self._put(data, doubt)
        self.data = data
        for doubt in doubts:
            cast("forms.Form", self).add_error(doubt.field, f"{doubt.why} {ASKED}")

    def _put(self, data: Any, doubt: Doubt) -> None:
        key, field = self._key(doubt.field), self.fields[doubt.field]
        if isinstance(field, forms.BooleanField):
            data.pop(key, None)
            if doubt.safe:
                data[key] = "on"
        else:  # that of a show offers a choice instead of a tick
            data[key] = str(doubt.value).lower()

    def _key(self, name: str) -> str:
        return cast("forms.Form", self).add_prefix(name)


class AsksAboutSwaps(forms.Form):
    """For a form on something else by which devices are swapped: a field for each doubt, with the
    safe value put in."""

    swaps: tuple[Swap, ...] = ()
    not_asked: tuple[str, ...] = ()  # what became doubtful only after the form was opened

    def add_swaps(self, swaps: Iterable[Swap]) -> None:
        """Call in __init__, with what is doubtful now."""
        self.swaps = tuple(swaps)
        doubts = {_name(s.part, d.field): (s, d) for s in self.swaps for d in s.doubts}
        for name, (swap, doubt) in doubts.items():
            self.fields[name] = _field_of(doubt, swap.name if len(self.swaps) > 1 else "")
        if doubts:
            self.fields["swaps_asked"] = forms.CharField(required=False, widget=forms.HiddenInput)
            self.initial["swaps_asked"] = " ".join(doubts)
        if self.is_bound and doubts:
            self._put_in_what_was_not_asked({name: doubt for name, (_, doubt) in doubts.items()})

    def _put_in_what_was_not_asked(self, doubts: Mapping[str, Doubt]) -> None:
        asked = str(self.data.get("swaps_asked", "")).split()
        self.not_asked = tuple(name for name in doubts if name not in asked)
        if not self.not_asked:
            return
        data = cast("QueryDict", self.data).copy()
        for name in self.not_asked:
            data.pop(name, None)
            if doubts[name].safe is not False:
                data[name] = str(doubts[name].value)
        data["swaps_asked"] = " ".join(doubts)
        self.data = data

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name in self.not_asked:
            self.add_error(name, f"{self.fields[name].help_text} {ASKED}")
        return cleaned

    @property
    def swap_fields(self) -> list[forms.BoundField]:
        return [self[_name(s.part, d.field)] for s in self.swaps for d in s.doubts]

    @property
    def other_fields(self) -> list[forms.BoundField]:
        asked = {field.name for field in self.swap_fields}
        return [field for field in self.visible_fields() if field.name not in asked]

    def decided(self) -> dict[str, dict[str, Any]]:
        """Part → field → what was decided. On a valid form."""
        return {
            swap.part: {
                doubt.field: self.cleaned_data[_name(swap.part, doubt.field)]
                for doubt in swap.doubts
            }
            for swap in self.swaps
        }

    def decided_on(self, part: object) -> dict[str, Any]:
        """What was decided on one input."""
        return self.decided().get(str(part), {})


def _name(part: str, field: str) -> str:
    return f"swap-{part}-{field}"


def _field_of(doubt: Doubt, of: str) -> forms.Field:
    """The field of an input, with the safe value and the reason for it."""
    made = cast("Any", Input._meta.get_field(doubt.field)).formfield()
    label = LABELS[doubt.field]
    named = _("{input}: {setting}").format(input=of, setting=label) if of else label
    made.label, made.required = named, False
    made.initial = doubt.value
    now = _shown(doubt.field, doubt.now)
    made.help_text = _("{why} Now: {value}.").format(why=doubt.why, value=now)
    return cast("forms.Field", made)


def _shown(field: str, value: Any) -> str:
    """“on”, “26 dB”, “of the preamp”: a value of one of the fields that are asked about."""
    return text(Input.KIND, field, value if isinstance(value, bool | str | None) else str(value))


def in_words(values: Mapping[str, Any]) -> str:
    """“phantom power off, gain 26 dB”: what was set along with a device."""
    return each_of(
        f"{word(Input.KIND, name)} {_shown(name, value) or _('not stated')}"
        for name, value in values.items()
    )
