"""A path that is typed: shown as cables and as a drawing, and made in one change."""

from __future__ import annotations

from typing import Any, NamedTuple, Self

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.forms.base import LengthInput
from core.forms.lines import Words
from core.languages.words import each_of
from core.units import format_length
from rigs.cables.plan import NewUnit, PathPlan
from rigs.cables.usual import SPEAKER, SPEAKER_CAUTION, UsualCable
from rigs.cables.words import folded, quoted
from rigs.changes.edits import Edit
from rigs.editing.guarded import GuardedForm, Key
from rigs.gear import GEAR, Gear, gear_choices
from rigs.models import Link, Rig
from rigs.revisions.read import live
from rigs.revisions.record import Conflict
from rigs.wording import RigView

PLACEHOLDER = gettext_lazy(
    "guitar > wireless > switcher\nsend 1 > comp > return 1\nout > head > cab"
)
# Characters; the text is read anew for each preview.
LONGEST = 6000


class Lead(NamedTuple):
    """The new cables of one sort, which share their plugs and length."""

    usual: UsualCable
    cables: int
    fields: list[forms.BoundField]


class PathStretch(NamedTuple):
    """A stretch of what was typed; `message` says what is wrong with it."""

    text: str
    message: str = ""


class PathForm(GuardedForm):
    """`words` are read by rigs.cables.words. A new unit is made only where the form had offered
    it: its name comes back as `made-<key>`, its kind as `gear-<key>`."""

    kind = "link"

    words = forms.CharField(
        label=gettext_lazy("The path"),
        max_length=LONGEST,
        help_text=gettext_lazy(
            "An arrow, > or →, is a cable. A new line or “;” begins anew; a socket alone, "
            "such as “send 1”, is one of the unit said last."
        ),
        widget=forms.Textarea(
            {
                "rows": 5,
                "placeholder": PLACEHOLDER,
                "autocomplete": "off",
                "autocapitalize": "off",
                "spellcheck": "false",
                "autofocus": True,
                "data-read-into": "path-preview",
            }
        ),
        error_messages={"required": gettext_lazy("Write at least two units with > between them.")},
    )

    def __init__(self, rig: Rig, data: QueryDict | None = None, *, typed: str = "") -> None:
        super().__init__(data, initial={"words": typed})
        self.set_up(rig)
        self.agreed = _agreed(data) if data is not None else {}
        text = str(self.data.get("words", "") if self.is_bound else typed)[:LONGEST]
        self.plan = PathPlan(rig, live(rig), text, self.agreed)
        self.text = text
        for key, usual in self._sorts().items():
            if usual.cable:
                self._add_lead(key, usual)

    @property
    def to_tap(self) -> list[Words]:
        """The units of the rig, to be put behind an arrow by a tap."""
        names = [quoted(str(unit["name"])) for unit in self.plan.units.values()]
        title = _("Units of the rig: a tap puts one behind an arrow")
        return [Words(title, names, " > ")] if names else []

    def _sorts(self) -> dict[str, UsualCable]:
        return {cable.usual.key: cable.usual for cable in self.plan.missing}

    def _add_lead(self, key: str, usual: UsualCable) -> None:
        plugs, length = Link._meta.get_field("connectors"), Link._meta.get_field("length_m")
        self.fields[f"plugs-{key}"] = forms.CharField(
            label=_("Plugs of each {cable}").format(cable=_(usual.cable)),
            required=False,
            max_length=plugs.max_length,
            initial=usual.connectors,
        )
        self.fields[f"length-{key}"] = LengthInput(
            model_field=length,
            default_unit=usual.length.unit if usual.length else "m",
            label=_("Length of each {cable}").format(cable=_(usual.cable)),
            help_text="",
        )
        self.initial[f"length-{key}"] = format_length(*usual.length) if usual.length else ""
        if self.is_bound and f"plugs-{key}" not in self.data:
            # What the page had not shown yet is as usual.
            names = (f"plugs-{key}", f"length-{key}")
            self.data = dict(self.data.items()) | {
                name: self.get_initial_for_field(self.fields[name], name) for name in names
            }

    def key(self, name: str) -> Key | None:
        return None

    def clean_words(self) -> str:
        text: str = self.cleaned_data["words"]
        reading = self.plan.reading
        if reading.problems:
            raise ValidationError([problem.message for problem in reading.problems])
        if not reading.cables:
            raise ValidationError(_("Write at least two units with > between them."))
        if not self.plan.missing:
            raise ValidationError(_("All of these cables are in the rig already."))
        return text

    def clean(self) -> dict[str, Any]:
        # A misspelt name must not become a unit, so each new one is shown before it is made.
        unseen = [unit.name for unit in self.plan.new_units if folded(unit.name) not in self.agreed]
        if unseen and not self.is_preview and "words" in self.cleaned_data:
            names = each_of(f"“{name}”" for name in unseen)
            self.add_error(
                "words",
                _(
                    "Not in the rig yet: {names}. Mend the word, or save again to make what is "
                    "listed under “New units”."
                ).format(names=names),
            )
        return self.cleaned_data

    @property
    def is_preview(self) -> bool:
        return "preview" in self.data

    def edits(self) -> list[Edit]:
        return [*self.plan.edits(self._leads())]

    def _leads(self) -> dict[str, UsualCable]:
        cleaned = getattr(self, "cleaned_data", {})
        return {
            key: usual._replace(
                connectors=cleaned.get(f"plugs-{key}", usual.connectors),
                length=cleaned.get(f"length-{key}", usual.length),
            )
            for key, usual in self._sorts().items()
            if usual.cable
        }

    def again(self, conflict: Conflict) -> Self:
        form = type(self)(conflict.rig, typed=self.text)
        form.conflicted = True
        return form

    @property
    def leads(self) -> list[Lead]:
        counts = [cable.usual.key for cable in self.plan.missing]
        return [
            Lead(usual, counts.count(key), [self[f"plugs-{key}"], self[f"length-{key}"]])
            for key, usual in self._sorts().items()
            if usual.cable
        ]

    @property
    def new_units(self) -> list[NewUnit]:
        return self.plan.new_units

    @property
    def gear_choices(self) -> Any:
        return gear_choices()

    @property
    def caution(self) -> str:
        has_speaker = any(cable.usual == SPEAKER for cable in self.plan.cables)
        return str(SPEAKER_CAUTION) if has_speaker else ""

    @property
    def view(self) -> RigView:
        """The rig with what is typed, as far as it can be read."""
        return self.plan.view(self.plan.edits(self._leads()))

    @property
    def pieces(self) -> list[PathStretch]:
        """What was typed, cut where something is wrong; empty where nothing is."""
        problems = sorted(self.plan.reading.problems)
        pieces, at = [], 0
        for problem in problems:
            pieces += [
                PathStretch(self.text[at : problem.start]),
                PathStretch(self.text[problem.start : problem.end], problem.message),
            ]
            at = problem.end
        return [*pieces, PathStretch(self.text[at:])] if problems else []

    @property
    def said(self) -> str:
        """What was read, in a few words for those who hear the page."""
        if wrong := len(self.plan.reading.problems):
            return _("{n} to mend").format(n=wrong)
        cables = len(self.plan.cables)
        return ngettext("{n} cable", "{n} cables", cables).format(n=cables) if cables else ""

    @property
    def success(self) -> str:
        cables, units = len(self.plan.missing), len(self.new_units)
        if not units:
            return ngettext(
                "The cable is in the path.", "{n} cables are in the path.", cables
            ).format(n=cables)
        added = ngettext("{n} new unit", "{n} new units", units).format(n=units)
        return ngettext(
            "The cable is in the path, with {units}.",
            "{n} cables are in the path, with {units}.",
            cables,
        ).format(n=cables, units=added)


def _agreed(data: QueryDict) -> dict[str, Gear]:
    """The kinds chosen for new names, by folded name."""
    offered = {
        folded(data.get(name) or ""): data.get(f"gear-{name.removeprefix('made-')}")
        for name in data
        if name.startswith("made-")
    }
    return {name: GEAR[gear] for name, gear in offered.items() if gear in GEAR}
