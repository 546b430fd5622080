"""All controls of a unit in one form: type the settings, Enter goes on to the next."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Self

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.units import plain
from rigs.changes.edits import Add, Edit, Set
from rigs.dial_scales import DIALS, STYLES, how_read
from rigs.editing.dials import AsksReading, reading_field, unread_dials
from rigs.editing.guarded import Key
from rigs.editing.ordering import in_order
from rigs.models import Control, Rig, Unit
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict
from rigs.settings_of_controls import Style, positions_of, tidy_setting

GONE = "retired"
_HINTS = {Style.CLOCK: "2:30", Style.DIAL: "6.5"}
_EITHER = gettext_lazy("2:30 or 6.5")
DOUBTFUL = gettext_lazy(
    "“{text}” can be a number or a time, and nothing says yet how the dials of “{unit}” are read. "
    "Write 2:30 for a time; that they have numbers is said on the page of the unit."
)


class SettingsForm(AsksReading):
    """A field for each control of `unit`, and why they are turned, if there is a reason.

    Where nothing says yet how the dials are read, the first settings decide, or a field asks.
    """

    kind = "control"

    def __init__(self, rig: Rig, unit: Unit, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(rig)
        self.unit = unit
        self.controls: dict[str, Control] = {}
        # Compared with what the page showed, so that a control nobody touched takes no side.
        opened_on = as_of(rig, self.base) if self.base != rig.head_number else {}
        self.every_control = rows = in_order(Control.objects.filter(unit=unit))
        self.unread = unread_dials(rows)
        if self.unread:
            self.fields["dials"] = reading_field()
        for control in rows:
            self._add(control, opened_on.get(str(control.pk), {}).get("setting"))
        self.add_reason_fields()
        self.read_choices()
        # A retired control is needed only while a conflict about it is open: it may be that it was
        # retired after the page was opened, and what was typed there must come back.
        for name in [n for n, c in self.controls.items() if c.retired and n not in self.asked]:
            if not self.is_bound or self.base == rig.head_number:
                del self.fields[name], self.controls[name]

    def _add(self, control: Control, opened_on: Any) -> None:
        name = f"c-{control.pk}"
        if self.is_bound and name not in self.data:
            return  # it came after this form was opened; nobody emptied it
        self.controls[name] = control
        self.fields[name] = setting_field(
            control.name,
            control.style,
            control.choices,
            control.symbol,
            control.setting,
            scale=(control.low, control.high),
            as_written=control in self.unread,
        )
        self.initial[name] = control.setting if opened_on is None else opened_on

    def key(self, name: str) -> Key | None:
        control = self.controls.get(name)
        return Key(str(control.pk), ("setting",)) if control else None

    def clean(self) -> dict[str, Any]:
        self.require_choices()
        typed = self.typed()
        self.new_styles = self._decided([self.controls[name] for name in typed])
        for name in typed if not self.question else ():
            control = self.controls[name]
            style = self.new_styles.get(control.pk, control.style)
            check_setting(self, name, control, style=style)
        return self.cleaned_data

    def _decided(self, typed: list[Control]) -> dict[Any, Style]:
        """The dials that are no clocks, where nothing said so before, by their ids."""
        texts = {c.name: self.cleaned_data.get(f"c-{c.pk}", "") for c in typed if c in self.unread}
        if not texts and "dials" not in self.changed_data:
            return {}  # nobody said or showed anything of the dials
        style = STYLES[self.decide(texts, numbered=self.unit.traits.numbered)]
        return {c.pk: style for c in self.unread if c.style != style}

    def edits(self) -> list[Edit]:
        typed = self.typed()
        turned = {self.controls[name].pk for name in typed}
        read = [
            Set(str(pk), "control", {"style": style.value})
            for pk, style in self.new_styles.items()
            if pk not in turned
        ]
        return [*(self._edit(self.controls[n], self.cleaned_data[n]) for n in typed), *read]

    def _edit(self, control: Control, setting: str) -> Edit:
        part = str(control.pk)
        style = self.new_styles.get(control.pk)
        if control.retired and f"c-{part}" in self.asked:
            known = {n: v for n, v in control.fields().items() if n != "kind"}
            return Add(part, "control", {**known, "setting": setting})
        values: dict[str, Any] = {"style": style.value} if style else {}
        return Set(part, "control", {**values, "setting": setting})

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, self.unit)
        at_stake = [n for clash in conflict.clashes for n in self.fields_of(clash)]
        for name in at_stake:
            if name not in form.fields:  # retired meanwhile
                form.fields[name], form.controls[name] = self.fields[name], self.controls[name]
        form.conflicted = True
        form.asked = dict.fromkeys(at_stake, self.base)
        form.now_texts = {name: form.now_text(name) for name in at_stake}
        form.retain_typed(self, [*self.typed(), "dials"])
        return form

    def now_text(self, name: str) -> str:
        control = Control.objects.get(pk=self.controls[name].pk)
        return GONE if control.retired else control.setting

    @property
    def has_dials(self) -> bool:
        return any(control.style in DIALS for control in self.controls.values())

    def start_typing(self) -> None:
        """Put the cursor into the first setting, for who goes from unit to unit."""
        for _control, bound in self.rows[:1]:
            bound.field.widget.attrs["autofocus"] = True

    @property
    def rows(self) -> list[tuple[Control, forms.BoundField]]:
        """The controls whose setting may be typed, in order."""
        return [(self.controls[f.name], f) for f in self.open_fields if f.name in self.controls]


def setting_field(
    label: str,
    style: str,
    choices: str,
    symbol: str = "",
    setting: str = "",
    scale: tuple[Decimal | None, Decimal | None] = (None, None),
    as_written: bool = False,
) -> forms.Field:
    """A field for a control's setting: one of its choices, or what is typed.

    `scale` is where the numbers of a dial start and end (0 to 10 where it does not say).
    `as_written` is True where it is not known yet how the dial is read.
    """
    options = positions_of(choices)
    if style in (Style.SWITCH, Style.CHOICE) and options:
        # A setting from before the choices were changed stays on offer, or saving would empty it.
        known = options if setting in ("", *options) else [*options, setting]
        return forms.ChoiceField(
            label=label, required=False, choices=[("", _("not set")), *((o, o) for o in known)]
        )
    attributes = {"autocomplete": "off", "autocapitalize": "off", "enterkeyhint": "next"}
    if style in _HINTS:
        low, high = scale
        attributes |= {
            "placeholder": str(_EITHER) if as_written and style in DIALS else _HINTS[Style(style)],
            "data-dial": "" if as_written else str(style),
            "data-low": "0" if low is None else plain(low),
            "data-high": "10" if high is None else plain(high),
        }
    return forms.CharField(
        label=f"{label}, {symbol}" if symbol else label,
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs=attributes),
    )


def check_setting(
    form: forms.Form, name: str, control: Any, *, style: str = "", unread: bool = False
) -> None:
    """Refuse a setting where it was typed, by the rule that the gateway goes by.

    `style` is how the control will be read, where it is not as on file. `unread` is True where it
    is not known how it is read and the form has no place to ask: it must then be beyond doubt.
    """
    text = form.cleaned_data.get(name, "")
    low, high = getattr(control, "low", None), getattr(control, "high", None)
    try:
        if unread and text and how_read([text], numbered=control.unit.traits.numbered) is None:
            raise ValueError(DOUBTFUL.format(text=text, unit=control.unit))
        tidy_setting(Style(style or control.style), text, low, high, control.choices)
    except ValueError as error:
        form.add_error(name, ValidationError(str(error)))
