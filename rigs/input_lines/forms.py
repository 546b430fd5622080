"""The forms to add several inputs at once: the lines, and what was read of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.lines import Words, lines_field
from core.lines import read_each
from core.models import User
from rigs.changes.edits import Add
from rigs.editing.choices import others_of
from rigs.editing.kinds import devices_of, units_of
from rigs.editing.ordering import in_order, next_position
from rigs.input_lines.lines import MAX_LINES, InputDraft, Named, read_line
from rigs.lists.columns import COLUMNS, show
from rigs.models import Device, Group, Input, Rig, Unit
from rigs.picked_up import names_of_rig, rig_of
from rigs.revisions.plan import build
from rigs.revisions.record import record
from rigs.revisions.sources import chosen_add

MOST_WORDS = 30  # offered of a kind; those no input has stand first
PLACEHOLDER = gettext_lazy(
    "1 Kick in, Flat 91, aimed at beater side\n"
    "2 Snare top, D57, 4 cm from the rim, gain 34\n"
    "3 Hat, Small 5, hpf 200"
)


class SeveralInputsForm(forms.Form):
    """`drafts` are the inputs, once it is valid."""

    lines = lines_field(
        gettext_lazy("Inputs, one a line"),
        gettext_lazy(
            "Channel and name, microphone or DI, then whatever you know: the units or groups it "
            "picks up, a distance, an angle, what it is aimed at; “gain 34”, “hpf 90” or "
            "“stand short” by name."
        ),
        PLACEHOLDER,
        gettext_lazy("Write at least one input."),
    )
    drafts: list[InputDraft]

    def __init__(self, rig: Rig, *args: Any, **more: Any) -> None:
        self.rig = rig
        super().__init__(*args, **more)

    @property
    def words(self) -> list[Words]:
        """What a line may name, to be put in by a tap. Three queries."""
        devices = [device.name for device in devices_of(self.rig)]
        sources = [unit.name for unit in _units(self.rig)]
        sources += [group.name for group in _groups(self.rig)]
        kinds = ((_("Microphones and DIs"), devices), (_("Units of the rig"), sources))
        return [
            # A comma would end the cell, so such a name is typed by its beginning.
            Words(title, [name for name in names if "," not in name][:MOST_WORDS], ", ")
            for title, names in kinds
            if names
        ]

    def clean_lines(self) -> str:
        text: str = self.cleaned_data["lines"]
        sources = [Named(str(u.pk), (u.name,)) for u in _units(self.rig)]
        sources += [Named(str(g.pk), (g.name,), kind="group") for g in _groups(self.rig)]
        sources += [
            Named(str(player.pk), (rig_of(player.name), *names_of_rig(player.name)), kind="player")
            for player in others_of(self.rig)
        ]
        devices = [_named(device) for device in devices_of(self.rig)]
        there = Input.objects.live().filter(rig=self.rig).values_list("name", flat=True)
        try:
            self.drafts = read_each(
                text,
                lambda line: self._checked(read_line(line, sources, devices)),
                name_of=lambda draft: draft.name,
                most=MAX_LINES,
                things="inputs",
                known=there,
            )
        except ValueError as error:
            raise ValidationError(str(error).splitlines()) from None
        return text

    def _checked(self, draft: InputDraft) -> InputDraft:
        """Raises ValueError, in words for a form, for values that no input can have."""
        entry: Any = build(Input, self.rig, str(uuid4()), _values(draft))
        try:
            entry.clean_fields(exclude=["rig", "unit", "device"])
            entry.tidy()
        except ValidationError as error:
            raise ValueError(" ".join(error.messages)) from None
        return draft


def _named(device: Device) -> Named:
    names = (str(device), device.name)
    return Named(str(device.pk), names, needs_phantom=device.phantom)


def _values(draft: InputDraft) -> dict[str, Any]:
    return {"number": draft.number, "name": draft.name, **draft.fields}


class TakenInput(NamedTuple):
    """An input as it was read: its own fields in words, and what can be corrected in place."""

    draft: InputDraft
    said: list[tuple[str, str]]
    fields: list[forms.BoundField]


class TakenInputsForm(forms.Form):
    """What was read of the lines; sources, device and phantom power can be set otherwise in place,
    since those may have been guessed."""

    def __init__(
        self, rig: Rig, drafts: Sequence[InputDraft], data: Mapping[str, Any] | None = None
    ) -> None:
        super().__init__(data)
        self.rig, self.drafts = rig, list(drafts)
        units = [("", _("nothing in the rig")), *((str(u.pk), u.name) for u in _units(rig))]
        devices = [("", _("not decided yet")), *((str(d.pk), str(d)) for d in devices_of(rig))]
        for place, draft in enumerate(self.drafts):
            self._choice(f"unit-{place}", _("takes its sound from"), units, draft.unit)
            if draft.also:
                self.fields[f"also-{place}"] = forms.MultipleChoiceField(
                    label=_("also picks up"),
                    choices=[(each.id, each.names[0]) for each in draft.also],
                    required=False,
                    initial=[each.id for each in draft.also],
                    widget=forms.CheckboxSelectMultiple,
                )
            self._choice(f"device-{place}", _("microphone or DI"), devices, draft.device)
            self.fields[f"phantom-{place}"] = forms.BooleanField(
                label=_("phantom power on"),
                required=False,
                initial=bool(draft.fields.get("phantom", False)),
            )

    def _choice(
        self, name: str, label: str, choices: list[tuple[str, str]], read: Named | None
    ) -> None:
        self.fields[name] = forms.ChoiceField(
            label=label, choices=choices, required=False, initial=read.id if read else ""
        )

    @property
    def inputs(self) -> Iterator[TakenInput]:
        for place, draft in enumerate(self.drafts):
            names = [f"{name}-{place}" for name in ("unit", "also", "device", "phantom")]
            fields = [self[name] for name in names if name in self.fields]
            yield TakenInput(draft, self._said(draft), fields)

    def _said(self, draft: InputDraft) -> list[tuple[str, str]]:
        """Heading and cell of the input list, for what the line says besides."""
        entry: Any = build(Input, self.rig, str(uuid4()), _values(draft))
        return [
            (_(column.heading), show(column.key, entry))
            for column in COLUMNS
            if column.key != "phantom" and draft.fields.keys() & set(column.stored)
        ]

    def edits(self, first: int) -> list[Add]:
        """The new inputs with what they pick up, the first of them at the place `first`."""
        edits = []
        for place, draft in enumerate(self.drafts):
            chosen = {name: self.cleaned_data[f"{name}-{place}"] for name in ("unit", "device")}
            fields = {
                **_values(draft),
                **{name: value or None for name, value in chosen.items()},
                "phantom": self.cleaned_data[f"phantom-{place}"],
                "position": first + place,
            }
            part = str(uuid4())
            edits.append(Add(part, Input.KIND, fields))
            ticked = self.cleaned_data.get(f"also-{place}", ())
            edits += [
                chosen_add("source", part, (each.kind, each.id))
                for each in draft.also
                if each.id in ticked and each.id != chosen["unit"]
            ]
        return edits


@transaction.atomic
def add_inputs(form: TakenInputsForm, *, author: User) -> int:
    """Those of a valid form, as one change; how many. Raises ValidationError for values that
    cannot be."""
    # Locked before positions are counted, so that two people adding inputs get different ones.
    rig = Rig.objects.select_for_update().get(pk=form.rig.pk)
    edits = form.edits(next_position(Input(rig=rig)))
    record(rig, edits, author=author, base=rig.head_number)
    return len(form.drafts)


def _units(rig: Rig) -> list[Unit]:
    return in_order(units_of(rig))


def _groups(rig: Rig) -> list[Group]:
    return in_order(Group.objects.live().filter(rig=rig))
