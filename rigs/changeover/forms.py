"""The page on which a changeover is planned: a form for each step, and one for what is added."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.durations import MinutesInput
from core.languages.words import leading
from core.models import Show
from core.sets.merge import Clash
from core.sets.ordered_form import OrderedForm
from rigs.changeover.records import ChangeoverNow, Crew, crew_of, plan_at
from rigs.changeover.state import (
    FIELD_LABELS,
    PARTS,
    SET,
    STRIKE,
    Plan,
    Step,
    by_part,
    in_parts,
    place_in_words,
    value_in_words,
)

LIST_OF_PEOPLE = "changeover-people"  # the id of the list that “who” is completed from
LIST_OF_RISERS = "changeover-risers"


def _text(longest: int, **more: Any) -> forms.CharField:
    attrs = {"autocomplete": "off"} | more.pop("attrs", {})
    return forms.CharField(max_length=longest, widget=forms.TextInput(attrs=attrs), **more)


def _who() -> forms.CharField:
    return _text(
        80,
        label=gettext_lazy("Who"),
        required=False,
        help_text=gettext_lazy("Somebody of the production, or any name."),
        attrs={"list": LIST_OF_PEOPLE},
    )


def _where() -> forms.CharField:
    return _text(
        80,
        label=gettext_lazy("Riser or place"),
        required=False,
        help_text=gettext_lazy("A riser of the stage plot, or any place."),
        attrs={"list": LIST_OF_RISERS},
    )


def _beside() -> forms.BooleanField:
    return forms.BooleanField(
        label=gettext_lazy("May run beside others"),
        required=False,
        initial=True,
        help_text=gettext_lazy(
            "Off: it begins when all before it are done, and all after it wait."
        ),
    )


class StepForm(forms.Form):
    """One step; its prefix is the id of the step."""

    place = forms.IntegerField(
        min_value=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        label=gettext_lazy("Place"),
    )
    words = _text(160, label=gettext_lazy("What is done"))
    where = _where()
    who = _who()
    planned_s = MinutesInput(label=gettext_lazy("Minutes"))
    side_by_side = _beside()
    part = forms.ChoiceField(choices=list(PARTS.items()), label=gettext_lazy("Part"))
    remove = forms.BooleanField(
        label=gettext_lazy("Take it out of this changeover"), required=False
    )

    def __init__(self, step: Step, place: int, crew: Crew, data: Any = None) -> None:
        first = {
            "place": place,
            "words": step.words,
            "where": place_in_words(step.place, crew.risers),
            "who": crew.shown(step.who),
            "planned_s": step.planned_s,
            "side_by_side": step.side_by_side,
            "part": step.part,
        }
        super().__init__(data, prefix=step.id, initial=first)
        self.line, self.was_at, self.crew = step, place, crew
        self.fields["place"].label = _("Place of {words}").format(words=step.words)

    def made(self) -> Step | None:
        """The step as it was typed; None if it is to be taken out."""
        typed = self.cleaned_data
        if typed["remove"]:
            return None
        # A name that was left as it is stays the person it is, though two may be called so now.
        kept = typed["who"] == self.crew.shown(self.line.who)
        who = self.line.who if kept else self.crew.read(typed["who"])
        same = typed["where"] == self.place_shown
        place = self.line.place if same else self.crew.read_place(typed["where"])
        return _made(self.line.id, typed, who, place)

    @property
    def place_shown(self) -> str:
        return place_in_words(self.line.place, self.crew.risers)

    @property
    def who_shown(self) -> str:
        return self.crew.shown(self.line.who)

    @property
    def details(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name != "place"]


class AddForm(forms.Form):
    """The time there is, and a step that is put in at the end of its part or at a place."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    there_s = MinutesInput(
        label=gettext_lazy("Minutes there are"),
        help_text=gettext_lazy("20 at many festivals; empty where nobody said."),
    )
    add_words = _text(
        160,
        label=gettext_lazy("What is done"),
        required=False,
        attrs={"placeholder": gettext_lazy("Drum riser on, locked")},
    )
    add_part = forms.ChoiceField(
        label=gettext_lazy("Part"), choices=list(PARTS.items()), initial=SET
    )
    add_where = _where()
    add_who = _who()
    add_planned_s = MinutesInput(label=gettext_lazy("Minutes"))
    add_side_by_side = _beside()
    add_place = forms.IntegerField(
        label=gettext_lazy("At place"),
        required=False,
        min_value=1,
        help_text=gettext_lazy("Empty: at the end of its part."),
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        told = ("add_where", "add_who", "add_planned_s")
        if not cleaned.get("add_words") and any(cleaned.get(name) for name in told):
            self.add_error("add_words", _("Write what is done."))
        return cleaned

    def added(self, crew: Crew) -> Iterator[Step]:
        typed = {name.removeprefix("add_"): value for name, value in self.cleaned_data.items()}
        if typed["words"]:
            who, place = crew.read(typed["who"]), crew.read_place(typed["where"])
            yield _made(str(uuid4()), typed, who, place)


def _made(key: str, typed: dict[str, Any], who: str, place: str) -> Step:
    return Step(
        key,
        typed["part"],
        typed["words"],
        place,
        who,
        typed["planned_s"],
        typed["side_by_side"],
    )


class PlanForm(OrderedForm[Plan]):
    """All of the page: the plan it was made from (`base`), and what was typed."""

    CONFLICT = gettext_lazy("Someone else changed this changeover, too")
    more: AddForm

    def __init__(self, show: Show, found: ChangeoverNow, data: Any = None) -> None:
        """`found` is the plan as it is now. Raises ValidationError where `data` is of no page."""
        super().__init__(data, found.version)
        is_now = self.version == found.version
        self.show, self.base = show, found.plan if is_now else plan_at(show, self.version)
        self.crew = crew_of(show.leg.production_id, self.base.steps)
        self.lines = [
            StepForm(step, at, self.crew, self.data_of(step.id))
            for at, step in enumerate(self.base.steps, start=1)
        ]
        first = {"version": self.version, "there_s": self.base.there_s}
        self.more = AddForm(data, initial=first)

    @property
    def people(self) -> list[str]:
        return sorted(set(self.crew.names.values()), key=str.casefold)

    @property
    def risers(self) -> list[str]:
        return sorted(self.crew.risers.values(), key=str.casefold)

    @property
    def parts(self) -> list[tuple[str, list[StepForm]]]:
        """The forms of each part that has steps, under its name."""
        return by_part(self.lines, lambda form: form.line.part)

    def wanted(self) -> Plan:
        """The plan as it was typed, in its new order."""
        steps = list(in_parts(self.typed_lines()))
        for new in self.more.added(self.crew):
            ends = {STRIKE: sum(step.part == STRIKE for step in steps), SET: len(steps)}
            place = self.more.cleaned_data["add_place"]
            steps.insert(place - 1 if place else ends[new.part], new)
        return Plan(in_parts(steps), self.more.cleaned_data["there_s"])

    def shown(self, line: Step) -> str:
        return leading(PARTS[line.part], line.words)

    def label_of(self, clash: Clash) -> str:
        about = f"“{clash.line.words}”, " if clash.line is not None else ""
        return f"{about}{FIELD_LABELS[clash.field]}"

    def value_of(self, clash: Clash, value: Any) -> str:
        return value_in_words(clash.field, value, self.crew.every_name)
