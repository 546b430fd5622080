"""The page on which a mix is written: what it is, and its lines in order."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import leading
from core.models import Player
from core.sets.ordered_form import by_places
from notes.models import MixWish, MonitorMix
from notes.monitors.refs import Known
from notes.monitors.services import MixConflict, MixRefused
from notes.monitors.state import FIELDS, LEVELS, MORE, MixState, Want
from notes.monitors.words import LABELS, value_in_words, want_in_words

BLANK_ROWS = 3
LONGEST = 300


class RefsField(forms.CharField):
    """Names and channel numbers with commas between them, as refs."""

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, max_length=600, **more)
        self.widget.attrs["autocomplete"] = "off"
        self.known: Known | None = None

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        assert self.known is not None  # noqa: S101 - given by the form
        return self.known.read(text)


class WantForm(forms.Form):
    """One line of a mix; its prefix is the id of the want."""

    place = forms.IntegerField(
        required=False,
        min_value=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        label=gettext_lazy("Place"),
    )
    level = forms.ChoiceField(label=gettext_lazy("How much"), choices=list(LEVELS.items()))
    inputs = RefsField(label=gettext_lazy("Of what"))
    like = RefsField(
        label=gettext_lazy("As loud as"),
        help_text=gettext_lazy("One input; only where you chose it above."),
    )
    words = forms.CharField(
        label=gettext_lazy("In their words"),
        required=False,
        max_length=LONGEST,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, want: Want, place: int, known: Known, data: Any, *, is_new: bool) -> None:
        first = {
            "place": None if is_new else place,
            "level": want.level,
            "inputs": known.typed(want.inputs),
            "like": known.typed([want.like] if want.like else ()),
            "words": want.words,
        }
        super().__init__(data, prefix=want.id, initial=first)
        for name in ("inputs", "like"):
            self.fields[name].known = known  # type: ignore[attr-defined]
        self.begins = False
        self.want, self.was_at, self.is_new = want, 0 if is_new else place, is_new
        self.name = known.name
        self.fields["place"].label = (
            _("Place of this line") if is_new else _("Place of line {place}").format(place=place)
        )

    def clean_like(self) -> str:
        refs: tuple[str, ...] = self.cleaned_data["like"]
        if len(refs) > 1:
            raise ValidationError(_("As loud as one input; the others belong to the line above."))
        return refs[0] if refs else ""

    @property
    def summary(self) -> str:
        """The line in words, as it is; empty for a new one."""
        return "" if self.is_new else want_in_words(self.want, self.name)

    @property
    def is_open(self) -> bool:
        """Whether its fields are to be seen at once: something was typed there or is wrong, or it
        is where a mix begins."""
        return self.begins or (self.is_bound and (self.has_changed() or bool(self.errors)))

    @property
    def made(self) -> Want | None:
        """The want as it was typed; None where the line was emptied."""
        values = {name: self.cleaned_data[name] for name in FIELDS}
        if not values["inputs"] and not values["words"] and not values["like"]:
            return None
        return Want(self.want.id, **values)


class HeadForm(forms.Form):
    """What the mix is and whose."""

    version = forms.IntegerField(
        label=gettext_lazy("Version"), widget=forms.HiddenInput, min_value=0
    )
    name = forms.CharField(
        max_length=80,
        help_text=gettext_lazy("Wedges Maud, Ears Noor, Side fill left …"),
        label=gettext_lazy("Name"),
    )
    kind = forms.ChoiceField(choices=MonitorMix.Kind.choices, label=gettext_lazy("Kind"))
    player = forms.ChoiceField(
        required=False, help_text=gettext_lazy("They can sign it."), label=gettext_lazy("Player")
    )
    position = forms.CharField(
        label=gettext_lazy("Or a position"),
        required=False,
        max_length=80,
        help_text=gettext_lazy("Where several people or a guest hear it: “stage left, upstage”."),
    )
    output = forms.CharField(
        label=gettext_lazy("Leaves by"),
        required=False,
        max_length=120,
        help_text=gettext_lazy("Bus, socket or transmitter."),
    )
    eq = forms.CharField(
        label=gettext_lazy("EQ notes"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    limiter = forms.CharField(
        label=gettext_lazy("Limiter notes"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, players: list[Player], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        choices = [(str(each.pk), f"{each}, {each.instrument}") for each in players]
        self.fields["player"].choices = [("", _("nobody")), *choices]  # type: ignore[attr-defined]


class MixForm:
    """All of the page. `base` is the state it was made from, `version` its number (0: none)."""

    def __init__(
        self, known: Known, players: list[Player], base: MixState, version: int, data: Any = None
    ) -> None:
        self.known, self.players, self.data = known, players, data
        self.is_bound = data is not None
        self.errors: list[str] = []
        self.clashes: list[dict[str, str]] = []
        self.conflict: MixConflict | None = None
        self._build(base, version, data)

    def _build(self, base: MixState, version: int, data: Any) -> None:
        first = {name: getattr(base, name) for name in HeadForm.base_fields if name != "version"}
        self.head = HeadForm(self.players, data, initial={**first, "version": version})
        ids = base.ids if data is None else _ids(data)
        there = base.by_id
        self.wants = [
            WantForm(
                there.get(each) or Want(each, MORE),
                at,
                self.known,
                data,
                is_new=each not in there,
            )
            for at, each in enumerate(ids, start=1)
        ]
        if data is None:
            self.wants += [
                WantForm(Want(str(uuid4())), 0, self.known, None, is_new=True)
                for _ in range(BLANK_ROWS)
            ]
        if self.wants:
            self.wants[0].begins = self.wants[0].is_new

    def is_valid(self) -> bool:
        checked = [form.is_valid() for form in (self.head, *self.wants)]
        return self.is_bound and all(checked)

    def wanted(self) -> MixState:
        """The mix as it was typed, in its order."""
        values = {**self.head.cleaned_data}
        del values["version"]
        made = {form.want.id: form.made for form in self.wants}
        order = by_places([(f.want.id, f.was_at, f.cleaned_data["place"] or 0) for f in self.wants])
        return MixState(**values, wants=tuple(w for each in order if (w := made[each])))

    def refuse(self, refused: MixRefused) -> None:
        by_id = {form.want.id: form for form in self.wants}
        for where, words in refused.wrong.items():
            if where in by_id:
                by_id[where].add_error("inputs", words)
            elif where in self.head.fields:
                self.head.add_error(where, words)
            else:
                self.errors.append(words)

    def ask(self, conflict: MixConflict, names: Mapping[str, str]) -> None:
        """Show what both made of it, what was typed here on top; sent again, it counts."""
        merged = conflict.merged
        self.conflict = conflict
        self.clashes = [
            {
                "label": str(LABELS[each.field]),
                "line": want_in_words(each.line, self.known.name) if each.line else "",
                "typed": value_in_words(each.field, each.mine, self.known.name, names),
                "now": value_in_words(each.field, each.now, self.known.name, names),
            }
            for each in merged.clashes
        ]
        self._build(merged.state, conflict.version, None)

    @property
    def problems(self) -> list[tuple[str, str]]:
        """What is wrong, each with the id of the field it is wrong at."""
        found = [("", words) for words in self.errors]
        for form in (self.head, *self.wants):
            if form.is_bound:
                for bound in form:
                    found += [
                        (bound.auto_id, leading(bound.label, error)) for error in bound.errors
                    ]
        return found


def _ids(data: Any) -> list[str]:
    """The ids of the rows that were sent. Raises ValidationError where one is none."""
    try:
        return [str(UUID(each)) for each in dict.fromkeys(data.getlist("row"))]
    except ValueError:
        raise ValidationError(_("This page is not whole. Open it anew.")) from None


class WishForm(forms.Form):
    """What is wished tonight in one mix."""

    mix = forms.UUIDField(widget=forms.HiddenInput)
    words = forms.CharField(
        label=gettext_lazy("Wish for tonight"),
        max_length=MixWish._meta.get_field("words").max_length,
        error_messages={"required": gettext_lazy("Say what is wished.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
