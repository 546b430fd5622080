"""How the dials of a unit are read, asked on a form once for all of them, with both ways drawn."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple
from uuid import UUID

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.dial_scales import (
    STYLES,
    Reading,
    Scale,
    answered,
    first_doubtful,
    how_read,
    in_full,
    unread,
)
from rigs.editing.guarded import GuardedForm
from rigs.models import Control
from rigs.settings_of_controls import Style, angle_of, tidy_setting
from rigs.wording import ControlView

AS_WRITTEN = ""
CHOICES = [
    (AS_WRITTEN, gettext_lazy("as they are written")),
    (Reading.CLOCK.value, gettext_lazy("as a clock: 2:30")),
    (Reading.NUMBERS.value, gettext_lazy("by their numbers, 0 to 10: 6.5")),
]


def unread_dials(controls: Iterable[Control]) -> list[Control]:
    """The dials in use of a unit of which nobody has said yet how they are read."""
    return unread([control for control in controls if not control.retired])


def unread_of_units(controls: Iterable[Control]) -> list[Control]:
    """Like `unread_dials`, of several units together."""
    by_unit: dict[UUID, list[Control]] = defaultdict(list)
    for control in controls:
        by_unit[control.unit_id].append(control)
    return [dial for own in by_unit.values() for dial in unread_dials(own)]


class DialAnswer(NamedTuple):
    """One way to read a dial: the value of its button, in words, and drawn."""

    value: str
    words: str
    control: ControlView


class DialQuestion(NamedTuple):
    """What a setting such as “10” means: 10 of 10, or 10 o’clock.

    `answers` are for all dials of the unit.
    """

    words: str
    answers: tuple[DialAnswer, ...]


def reading_field() -> forms.ChoiceField:
    """How the dials of a unit are read, for a form on which their settings are typed."""
    return forms.ChoiceField(
        label=_("Its dials are read"),
        choices=CHOICES,
        required=False,
        widget=forms.Select({"data-dials": "", "data-passed-over": ""}),
    )


def drawn(name: str, text: str, scale: Scale) -> ControlView:
    """A dial as `text` says; without a pointer where it cannot stand there."""
    try:
        setting = tidy_setting(Style(scale.style), text, scale.low, scale.high, "")
        angle = angle_of(scale.style, setting, scale.low, scale.high)
        words = in_full(text, scale)
    except ValueError:
        setting, angle, words = "", None, ""
    low, high = scale.low, scale.high
    return ControlView("", name, scale.style, setting, words, low, high, angle=angle)


def question_about(texts: Mapping[str, str]) -> DialQuestion:
    """What to ask where `texts`, by the names of their dials, can all be read both ways."""
    place = first_doubtful(texts.values())
    name, text = list(texts)[place], list(texts.values())[place]
    answers = [_answer(reading, name, text) for reading in (Reading.NUMBERS, Reading.CLOCK)]
    one, other = (answer.words for answer in answers)
    words = _("“{text}” at {control}: {one}, or {other}?")
    asked = words.format(text=text, control=name, one=one, other=other)
    return DialQuestion(asked, tuple(answers))


def _answer(reading: Reading, name: str, text: str) -> DialAnswer:
    control = drawn(name, text, Scale(STYLES[reading]))
    return DialAnswer(reading.value, control.text, control)


class ReadingQuestion(forms.BaseForm):
    """What a form with a field `dials` does. `question` is what it asks when it comes back."""

    question: DialQuestion | None = None

    def said_reading(self, name: str = "dials") -> Reading | None:
        """What was answered; also before the form is cleaned, where its fields depend on it."""
        return answered(self[name].value()) if name in self.fields else None

    def decide(self, texts: Mapping[str, str], *, numbered: bool) -> Reading:
        """How the dials are read that `texts` stand at, by name. Where nobody knows, the form asks,
        and reads them as a clock meanwhile."""
        given = {name: text for name, text in texts.items() if text}
        reading = how_read(given.values(), said=self.said_reading(), numbered=numbered)
        if reading is None:
            self.ask_reading(given)
        return reading or Reading.CLOCK

    def ask_reading(self, texts: Mapping[str, str]) -> None:
        self.question = question_about(texts)
        self.add_error(
            "dials",
            _("{question} Say which is meant for all its dials.").format(
                question=self.question.words
            ),
        )


class AsksReading(ReadingQuestion, GuardedForm):
    """A form that changes a rig and has a field `dials`."""

    @property
    def open_fields(self) -> list[forms.BoundField]:
        """How the dials are read stands apart from the fields of the part."""
        return [field for field in super().open_fields if field.name != "dials"]
