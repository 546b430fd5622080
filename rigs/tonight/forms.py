"""Forms of what is other about a unit at a show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import takewhile
from typing import Any, ClassVar, NamedTuple, Self, cast

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import each_of
from core.models import Show, User
from core.units import plain
from rigs.changes.edits import Snapshot
from rigs.changes.reasons import LABELS, Reason, ReasonKind
from rigs.dial_scales import DIALS, STYLES, Reading
from rigs.editing.conflicts import in_words
from rigs.editing.dials import ReadingQuestion, reading_field
from rigs.editing.guarded import UNDECIDED
from rigs.gear import Gear, Usual, gear_choices, gear_of
from rigs.models import Unit, UnitAtShow
from rigs.models.shows import CIRCUMSTANCES_OF_SHOWS, WHY
from rigs.photos.forms import PhotosField
from rigs.photos.storage import store
from rigs.radio import CHANNEL, FREQUENCY, MHZ, PACK
from rigs.settings_of_controls import STYLE_CHOICES, Style, tidy_setting
from rigs.tonight.layers import laid, radio_controls, strings_of
from rigs.tonight.meanwhile import NOW, Contested, Said, merged, read, written
from rigs.tonight.message_fields import MessageRow, Messages
from rigs.tonight.offers import offers_of, read_offers
from rigs.tonight.records import SCALE, Lasts, layer_of
from rigs.tonight.services import Dial, SaidMeanwhile, say, state_below
from rigs.units.midi_fields import MIDI
from rigs.units.settings_form import setting_field
from rigs.wording import ControlView

What = UnitAtShow.What
# What of any unit may be other, as far as its kind has it.
_WHEREABOUTS = ("tuning", "strings", "radio", "pack", "stage_position", "session", "midi_channel")
MORE_DIALS = 4  # empty lines below those that are there
MOST_DIALS = 60  # lines of one unit that are read
# Of the fields of a form, those that no layer says.
_NOT_SAID = ("seen", "shown", "photos", "dials")


def _column(name: str, **more: Any) -> forms.Field:
    """The field of a column, with its words and limits."""
    made = cast("Any", UnitAtShow._meta.get_field(name)).formfield(**more)
    return cast("forms.Field", made)


class Outcome(NamedTuple):
    """Whether it is on record, the row (None where nothing differs), the form to show if not."""

    done: bool
    row: UnitAtShow | None
    form: AtShowForm


class AtShowForm(forms.Form):
    """What is other about `unit` at `show`.

    `row` is what the page shows as said of it at this very show; None for nothing. `for_legs` says
    whether the reader may speak for the rest of the leg.
    """

    WHAT: ClassVar[str]
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    # What the page began with, so that what others said meanwhile can be told from what was typed.
    shown = forms.CharField(widget=forms.HiddenInput, required=False)
    panels: Sequence[Contested] = ()

    def __init__(
        self,
        show: Show,
        unit: Unit,
        data: QueryDict | None = None,
        files: Any = None,
        *,
        row: UnitAtShow | None = None,
        for_legs: bool = True,
    ) -> None:
        super().__init__(data, files)
        self.show, self.unit, self.row = show, unit, row
        self.initial["seen"] = row.version if row is not None else 0
        self.for_legs = for_legs
        at = row or UnitAtShow(show=show, unit=unit)
        self.below = state_below(at)
        self.state: Snapshot = laid(self.below, [layer_of(row)]) if row else self.below
        self.add_fields()
        self.add_why()
        self.initial["shown"] = written(self.begun())
        self._choose()

    def begun(self) -> Said:
        """What the fields begin with, by their names."""
        return {n: (self._begins_with(n),) for n in self._said_fields()}

    def _begins_with(self, name: str) -> str:
        """As the field shows it."""
        value = self.fields[name].prepare_value(self.initial.get(name))
        return "" if value is None else str(value)

    def sent(self) -> Said:
        """What was sent of them. What the page did not have stays as it began."""
        began = self.begun()
        return {
            n: (str(self.data[n]).strip(),) if n in self.data else began[n]
            for n in self._said_fields()
        }

    def _said_fields(self) -> list[str]:
        return [name for name in self.fields if name not in _NOT_SAID]

    def _with(self, said: Said, **more: str) -> QueryDict:
        """The data of the form, with `said` in the place of what was sent."""
        data = cast("QueryDict", self.data).copy()
        for name, value in (said | {n: (v,) for n, v in more.items()}).items():
            if name in self.fields:
                data[name] = value[0]
        return data

    def in_words(self, key: str, value: tuple[str, ...]) -> str:
        """A value of `begun` or `sent`, as its field shows it."""
        return in_words(self.fields[key], value[0]) if value and key in self.fields else ""

    def label_of(self, key: str) -> str:
        return str(self.fields[key].label) if key in self.fields else key

    def _choose(self) -> None:
        """Take what was chosen where two people had set one field."""
        sent = (str(self.data.get(f"asked-{n}", "")) for n in range(len(self.fields)))
        asked = list(takewhile(bool, sent))
        if not asked:
            return
        now, mine = read(str(self.data.get("shown", ""))), self.sent()
        chosen = {key: str(self.data.get(f"choice-{n}", "")) for n, key in enumerate(asked)}
        if all(chosen.values()):
            for key in [key for key, side in chosen.items() if side == NOW]:
                mine[key] = now.get(key, ())
            self.data = self._with(mine)
        else:
            self._ask(asked, mine, now, chosen)

    def _ask(
        self, keys: Sequence[str], mine: Said, now: Said, chosen: Mapping[str, str] | None = None
    ) -> None:
        row = self.row
        self.panels = [
            Contested(
                key,
                f"choice-{n}",
                self.label_of(key),
                self.in_words(key, mine.get(key, ())),
                self.in_words(key, now.get(key, ())),
                row.by_name if row is not None else _("somebody else"),
                row.at if row is not None else None,
                (chosen or {}).get(key, ""),
            )
            for n, key in enumerate(keys)
        ]

    def add_fields(self) -> None:
        raise NotImplementedError

    def add_whereabouts(self) -> None:
        """What any unit may have, as far as its kind does."""
        now = self.state.get(str(self.unit.pk), {})
        traits = gear_of(str(now.get("gear", "")))
        if traits.strung or now.get("tuning"):
            self._offer("tuning", now.get("tuning"))
        if traits.strung:
            part = strings_of(self.state, str(self.unit.pk))
            self._offer("strings", self.state[part].get("gauges") if part else "")
        controls = radio_controls(self.state, str(self.unit.pk))
        if _on_air(traits) or controls:
            told = [self.state[part].get("setting", "") for part in controls]
            radio = self.row.radio if self.row is not None else ""
            self._offer("radio", radio, documented=each_of(str(t) for t in told if t))
            self._offer("pack", self.row.pack if self.row is not None else "")
        self._offer("stage_position", now.get("stage_position"))
        documented = self.below.get(str(self.unit.pk), {})
        if traits.plays_back or documented.get("session"):
            self._offer("session", now.get("session"))
        if traits.takes_midi or documented.get("midi_channel"):
            self._offer("midi_channel", now.get("midi_channel"))
        self.messages = Messages(self.unit, self.below, self.state)
        for name, made, begins in self.messages.made():
            self.fields[name], self.initial[name] = made, begins

    @property
    def message_rows(self) -> list[MessageRow]:
        return self.messages.rows(self)

    def _offer(self, name: str, value: Any, documented: str = "") -> None:
        self.fields[name] = _column(name)
        self.initial[name] = value or ""
        if documented:
            there = self.fields[name]
            there.help_text = _("Documented: {documented}. {help_text}").format(
                documented=documented, help_text=there.help_text
            )

    def add_why(self) -> None:
        needed = self.WHAT == What.REPLACED
        self.fields["why"] = forms.ChoiceField(
            label=_("Why"), choices=[("", _("choose …")), *WHY], required=needed
        )
        self.fields["words"] = _column("words")
        lasting = Lasts.choices if self.for_legs else [c for c in Lasts.choices if c[0] == "show"]
        self.fields["lasts"] = forms.ChoiceField(
            label=_("For how long"), choices=lasting, widget=forms.RadioSelect
        )
        self.initial["lasts"] = Lasts.SHOW.value
        if self.row is not None:
            self.initial.update(why=self.row.why, words=self.row.words, lasts=self.row.lasts)

    def dials(self) -> list[Dial]:
        raise NotImplementedError

    def values(self, by: User) -> dict[str, Any]:
        names = [n for n in self.cleaned_data if n in {f.name for f in UnitAtShow._meta.fields}]
        values = {n: self.cleaned_data[n] for n in names if n != "lasts"}
        return values | {"messages": self.cleaned_data["messages"]}

    def try_say(self, by: User) -> Outcome:
        """Put it on record, or show what is wrong and what others said meanwhile."""
        if not self.is_valid():
            return Outcome(False, None, self)
        if self.panels:
            self.add_error(None, UNDECIDED)
            return Outcome(False, None, self)
        try:
            row = say(
                self.show,
                self.unit,
                by=by,
                what=self.WHAT,
                lasts=self.cleaned_data["lasts"],
                dials=self.dials(),
                seen=self.cleaned_data.get("seen") or 0,
                instead_of=self.row,
                **self.values(by),
            )
        except SaidMeanwhile as meanwhile:
            return self._meanwhile(meanwhile, by)
        except ValidationError as refused:
            self._refused(refused)
            return Outcome(False, None, self)
        return Outcome(True, row, self)

    def _meanwhile(self, meanwhile: SaidMeanwhile, by: User) -> Outcome:
        """Somebody said something of the unit since the page was made: what is no question is
        brought together, anything else is asked."""
        there = meanwhile.row
        version = str(there.version)
        if there.what != self.WHAT:
            # Another unit and another setting of ours have no field in common. What is sent next is
            # meant: whoever sends it again has seen the message.
            self.data = self._with({}, seen=version)
            self.add_error(None, meanwhile.messages[0])
            return Outcome(False, None, self)
        now = self.on(there).begun()
        mine = {key: self.as_there(value, now.get(key, ())) for key, value in self.sent().items()}
        both, contested = merged(read(str(self.data.get("shown", ""))), mine, now)
        form = self.on(there, self._with(both, seen=version, shown=written(now)))
        if not contested:
            return form.try_say(by)
        form.is_valid()
        form._ask(contested, mine, now)
        return Outcome(False, None, form)

    def as_there(self, typed: tuple[str, ...], there: tuple[str, ...]) -> tuple[str, ...]:
        """A value as typed, with what nobody said of it as others have it."""
        return typed

    def on(self, row: UnitAtShow, data: QueryDict | None = None) -> Self:
        """The same form on what `row` says."""
        files = self.files if data is not None else None
        if data is not None:
            # The question of before is answered.
            for name in [n for n in data if n.startswith(("asked-", "choice-"))]:
                del data[name]
        return type(self)(self.show, self.unit, data, files, row=row, for_legs=self.for_legs)

    def _refused(self, refused: ValidationError) -> None:
        """At its field what belongs to one that is here; anything else above the form."""
        by_name = refused.message_dict if hasattr(refused, "error_dict") else {"": refused.messages}
        for name, words in by_name.items():
            self.add_error(name if name in self.fields else None, words)


class SetForm(AtShowForm):
    """The unit is ours, and something of it stands elsewhere."""

    WHAT = What.SET

    def add_fields(self) -> None:
        self.controls: dict[str, ControlView] = {}
        unit = str(self.unit.pk)
        hidden = set(radio_controls(self.below, unit))
        own = [
            (part, known)
            for part, known in self.below.items()
            if known["kind"] == "control" and known.get("unit") == unit and part not in hidden
        ]
        own.sort(key=lambda pair: (int(pair[1].get("position") or 0), pair[0]))
        for part, known in own:
            self._add(part, known)
        self.add_whereabouts()

    def _add(self, part: str, known: Any) -> None:
        style = str(known.get("style") or Style.CLOCK)
        view = ControlView(
            part,
            str(known.get("name", "")),
            style,
            str(known.get("setting", "")),
            "",
            low=_decimal(known.get("low")),
            high=_decimal(known.get("high")),
            choices=tuple(str(known.get("choices", "")).split(",")),
            symbol=str(known.get("symbol", "")),
        )
        self.controls[part] = view
        name = f"c-{part}"
        self.fields[name] = setting_field(
            view.name,
            style,
            str(known.get("choices", "")),
            view.symbol,
            view.setting,
            scale=(view.low, view.high),
        )
        self.initial[name] = self.state[part].get("setting", "")
        if view.setting:
            self.fields[name].help_text = _("Documented: {setting}").format(setting=view.setting)

    def clean(self) -> dict[str, Any]:
        for part, view in self.controls.items():
            name = f"c-{part}"
            try:
                text = self.cleaned_data.get(name, "")
                choices = str(self.below[part].get("choices", ""))
                self.cleaned_data[name] = tidy_setting(
                    Style(view.style), text, view.low, view.high, choices
                )
            except ValueError as error:
                self.add_error(name, str(error))
        self.cleaned_data["messages"] = self.messages.read(self)
        return self.cleaned_data

    def dials(self) -> list[Dial]:
        made = []
        for part, view in self.controls.items():
            # It came after the page was made; nobody emptied it.
            if f"c-{part}" in self.data:
                choices = str(self.below[part].get("choices", ""))
                scale = (view.style, view.low, view.high, choices, view.symbol)
                made.append(Dial(self.cleaned_data[f"c-{part}"], part, view.name, *scale))
        return made

    @property
    def control_fields(self) -> list[forms.BoundField]:
        return [self[f"c-{part}"] for part in self.controls]

    @property
    def other_fields(self) -> list[forms.BoundField]:
        return [f for f in self.visible_fields() if f.name[:2] not in ("c-", f"{MIDI}-")]


class DialLine(NamedTuple):
    """A control of what came: its fields side by side."""

    name: forms.BoundField
    setting: forms.BoundField
    style: forms.BoundField
    offers: forms.BoundField


class ReplaceForm(ReadingQuestion, AtShowForm):
    """Another unit came, with controls of its own; the lines of controls begin with those of ours,
    or with those that `like`, a substitute of before, had."""

    WHAT = What.REPLACED

    def __init__(self, *args: Any, like: UnitAtShow | None = None, **more: Any) -> None:
        self.like = like
        super().__init__(*args, **more)

    def add_fields(self) -> None:
        came = self.row if self.row is not None and self.row.what == What.REPLACED else self.like
        for name in ("gear", "maker", "model", "from_whom", "serial"):
            self.fields[name] = _column(name, required=name in ("gear", "model"))
            self.initial[name] = getattr(came, name) if came is not None else ""
        self.fields["gear"] = forms.ChoiceField(label=_("Kind of gear"), choices=gear_choices())
        self.initial["gear"] = self.initial["gear"] or self.unit.gear
        self.fields["photos"] = PhotosField(
            label=_("photo of its settings"),
            required=False,
            help_text=_("Of its front, as it stands."),
        )
        self.fields["dials"] = reading_field()
        self.came_before = came is not None
        begins = list(self._begins(came))
        for at, line in enumerate(begins + [_NO_DIAL] * (self._sent_lines() - len(begins))):
            self._add_line(at, line)
        self.add_whereabouts()
        for name in _WHEREABOUTS:
            # What was set on ours says nothing of what came.
            if came is None and name in self.fields and name != "stage_position":
                self.initial[name] = ""
            elif came is not None and name in self.fields:
                self.initial[name] = getattr(came, name)

    def _begins(self, came: UnitAtShow | None) -> Iterator[Dial]:
        if came is not None:
            for control in came.controls.all():
                setting = "" if came is self.like else control.setting
                scale = {name: getattr(control, name) for name in SCALE if name != "setting"}
                yield Dial(setting, **scale)
        else:
            traits = gear_of(self.unit.gear)
            for usual in [u for u in traits.usual if u.taken and not _said_as_radio(u, traits)]:
                style = "" if usual.style == Style.CLOCK else str(usual.style)
                yield Dial("", None, usual.words, style, None, None, usual.positions, usual.unit)
        yield from [_NO_DIAL] * MORE_DIALS

    def _sent_lines(self) -> int:
        """How many lines were sent: what two people typed together may be more than there were."""
        sent = (n.removeprefix("n-") for n in self.data if n.startswith("n-"))
        return min(max((int(n) + 1 for n in sent if n.isdecimal()), default=0), MOST_DIALS)

    def _add_line(self, at: int, dial: Dial) -> None:
        low, high = (None if end is None else Decimal(end) for end in (dial.low, dial.high))
        # Enter goes from setting to setting; the name of a usual control is right as a rule.
        passed = {"data-passed-over": ""} if dial.name else {}
        self.fields[f"n-{at}"] = forms.CharField(
            label=_("Control"), required=False, max_length=80, widget=forms.TextInput(passed)
        )
        # Words may stand here, too, so the field takes anything; what is a dial is drawn.
        setting = setting_field(_("Tonight"), dial.style or Style.CLOCK, "", scale=(low, high))
        setting.widget.attrs |= {
            "data-dial": dial.style if dial.style in DIALS else "none" if dial.style else "",
            "data-low": "0" if low is None else plain(low),
            "data-high": "10" if high is None else plain(high),
            "placeholder": "",
        }
        self.fields[f"v-{at}"] = setting
        self.fields[f"s-{at}"] = forms.ChoiceField(
            label=_("read as"),
            required=False,
            choices=[("", _("as it is written")), *STYLE_CHOICES],
            widget=forms.Select({"data-dial-style": "", "data-passed-over": ""}),
        )
        self.fields[f"o-{at}"] = forms.CharField(
            label=_("its ends, choices or unit"),
            required=False,
            max_length=400,
            help_text=_("0 to 12; clean, crunch, lead; dB."),
            widget=forms.TextInput({"data-dial-ends": "", "data-passed-over": ""}),
        )
        self.initial.update(_typed_line(at, (dial.setting, dial.style, offers_of(dial)), dial.name))

    @property
    def _count(self) -> int:
        return sum(name.startswith("n-") for name in self.fields)

    @property
    def lines(self) -> list[DialLine]:
        return [
            DialLine(self[f"n-{n}"], self[f"v-{n}"], self[f"s-{n}"], self[f"o-{n}"])
            for n in range(self._count)
        ]

    def _said_fields(self) -> list[str]:
        return [n for n in super()._said_fields() if n[:2] not in _OF_LINE]

    def begun(self) -> Said:
        return super().begun() | self._said_lines(self.initial)

    def sent(self) -> Said:
        return super().sent() | self._said_lines(self.data)

    def _said_lines(self, values: Mapping[str, Any]) -> Said:
        """The controls by their names: two people need not have them in the same lines."""
        said: Said = {}
        offered = () if self.came_before else {self.initial[f"n-{n}"] for n in range(self._count)}
        for at in range(self._count):
            name, *line = (str(values.get(f"{mark}{at}", "")).strip() for mark in _OF_LINE)
            if name and (line[0] or name not in offered):
                said[f"{_CONTROL}{name}"] = tuple(line)
        return said

    def _with(self, said: Said, **more: str) -> QueryDict:
        data = super()._with(said, **more)
        if said:
            for name in [n for n in data if n[:2] in _OF_LINE]:
                del data[name]
            lines = [(k.removeprefix(_CONTROL), v) for k, v in said.items() if k[:1] == _CONTROL]
            for at, (name, line) in enumerate(lines):
                if line:
                    data.update(_typed_line(at, line, name))
        return data

    def in_words(self, key: str, value: tuple[str, ...]) -> str:
        if not key.startswith(_CONTROL):
            return super().in_words(key, value)
        setting, style, offers = (*value, "", "", "")[:3]
        read_as = str(dict(STYLE_CHOICES).get(style, ""))
        return each_of((setting, read_as, offers))

    def as_there(self, typed: tuple[str, ...], there: tuple[str, ...]) -> tuple[str, ...]:
        # “2:30” as it is written, and “2:30” read as a clock, are one setting.
        is_bare = len(typed) > 1 and len(there) > 1 and not any(typed[1:])
        return (typed[0], *there[1:]) if is_bare else typed

    def label_of(self, key: str) -> str:
        return super().label_of(key).removeprefix(_CONTROL)

    @property
    def what_fields(self) -> list[forms.BoundField]:
        return [self[n] for n in ("gear", "maker", "model", "from_whom", "serial", "photos")]

    @property
    def other_fields(self) -> list[forms.BoundField]:
        names = (*_WHEREABOUTS, "why", "words", "lasts")
        return [self[name] for name in names if name in self.fields]

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        cleaned["messages"] = self.messages.read(self)
        said = [n.removeprefix("n-") for n in self.fields if n.startswith("n-")]
        self.came: list[Dial] = []
        texts = {
            cleaned.get(f"n-{at}") or _("a control"): text
            for at in said
            if _is_dial(text := cleaned.get(f"v-{at}", "")) and not cleaned.get(f"s-{at}")
        }
        numbered = gear_of(cleaned.get("gear", "")).numbered
        reading = self.decide(texts, numbered=numbered)
        # Of a control that is only usual nobody has said that what came has it.
        offered = {} if self.came_before else self.initial
        for at in said:
            name, setting = cleaned.get(f"n-{at}", ""), cleaned.get(f"v-{at}", "")
            if not name and setting:
                self.add_error(f"n-{at}", _("Say which control stands there."))
            elif name and (setting or name != offered.get(f"n-{at}")):
                self._take(at, name, setting, reading)
        return cleaned

    def _take(self, at: str, name: str, setting: str, reading: Reading) -> None:
        said = self.cleaned_data.get(f"s-{at}", "")
        style = Style(said) if said else _style_of(setting, reading)
        try:
            low, high, choices, symbol = read_offers(style, self.cleaned_data.get(f"o-{at}", ""))
        except ValueError as error:
            self.add_error(f"o-{at}", str(error))
            return
        try:
            # While it is asked how dials are read, a number is no wrong time.
            typed = setting if said or self.question is None else ""
            tidied = tidy_setting(style, typed, low, high, choices)
        except ValueError as error:
            self.add_error(f"v-{at}", str(error))
            return
        self.came.append(Dial(tidied, None, name, style.value, low, high, choices, symbol))

    def dials(self) -> list[Dial]:
        return self.came

    def values(self, by: User) -> dict[str, Any]:
        values = super().values(by)
        pictures = self.cleaned_data.get("photos") or []
        kept = self.row.photo if self.row is not None else None
        production = self.show.leg.production
        values["photo"] = (
            store(pictures[0], production=production, taken_by=by) if pictures else kept
        )
        return values


_NO_DIAL = Dial("", style="")
_CONTROL = "#"  # before the name of a control, which must not be taken for a field
_OF_LINE = ("n-", "v-", "s-", "o-")


def _typed_line(at: int, line: tuple[str, ...], name: str) -> dict[str, str]:
    """The fields of a line: its name, setting, how it is read, what it offers."""
    return {f"{mark}{at}": value for mark, value in zip(_OF_LINE, (name, *line), strict=False)}


def _on_air(traits: Gear) -> bool:
    """Whether gear of a kind sends or receives by radio."""
    return traits.receives_radio or any(usual.symbol == MHZ for usual in traits.usual)


def _said_as_radio(usual: Usual, traits: Gear) -> bool:
    """Whether a usual control has a field of its own on the form."""
    return _on_air(traits) and (usual.symbol == MHZ or usual.name in (FREQUENCY, CHANNEL, PACK))


def _is_dial(text: str) -> bool:
    """Whether a text begins as the setting of a dial does."""
    return bool(text.strip()) and text.strip()[0].isdigit()


def _style_of(text: str, reading: Reading) -> Style:
    if text.strip().casefold() in ("on", "off"):
        return Style.SWITCH
    return STYLES[reading] if not text or _is_dial(text) else Style.TEXT


def _decimal(value: Any) -> Any:
    return None if value in (None, "") else Decimal(str(value))


class DidForm(forms.Form):
    """How what came in place of a unit did."""

    fared = forms.ChoiceField(
        label=gettext_lazy("How it did"),
        choices=UnitAtShow.Fared.choices[1:],
        widget=forms.RadioSelect,
    )
    fared_words = forms.CharField(
        label=gettext_lazy("in a few words"), required=False, max_length=300
    )


class PermanentForm(forms.Form):
    """Why what held at a show is to stay."""

    base = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    kind = forms.ChoiceField(
        label=gettext_lazy("Reason"),
        choices=[
            ("", gettext_lazy("choose …")),
            *((str(k), gettext_lazy(LABELS[k])) for k in CIRCUMSTANCES_OF_SHOWS),
        ],
    )
    words = forms.CharField(
        label=gettext_lazy("Why for good"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("The reason that the change will carry."),
    )

    def reason(self) -> Reason:
        return Reason(ReasonKind(self.cleaned_data["kind"]), self.cleaned_data["words"].strip())

    def decide_on(self, head: int) -> None:
        """What is sent next is meant for change `head` of the rig."""
        data = cast("QueryDict", self.data).copy()
        data["base"] = str(head)
        self.data = data
