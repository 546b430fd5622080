"""The page on which a set is changed: a form for each line, and one for what is added."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.forms.durations import DurationInput
from core.models import SetEntry, Show, Song
from core.sets.merge import Clash
from core.sets.order import SetOfShow
from core.sets.ordered_form import OrderedForm
from core.sets.services import state_at, state_of
from core.sets.state import FIELDS, SONG, Line, State
from core.sets.words import FIELD_LABELS, KINDS, name_of, title_of

AGAIN = "again:"  # in front of a song that is in the set already
LONGEST_WORDS = 160


class LineForm(forms.Form):
    """One line of a set; its prefix is the id of the line."""

    place = forms.IntegerField(
        min_value=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        label=gettext_lazy("Place"),
    )
    title = forms.CharField(label=gettext_lazy("Words"), max_length=LONGEST_WORDS)
    cut = forms.BooleanField(
        label=pgettext_lazy("song", "Cut"),
        required=False,
        help_text=gettext_lazy("Stays here, is not played."),
    )
    note = forms.CharField(
        label=gettext_lazy("Note"),
        required=False,
        max_length=200,
        widget=forms.TextInput(
            attrs={"placeholder": gettext_lazy("short intro"), "autocomplete": "off"}
        ),
    )
    length_s = DurationInput(
        label=gettext_lazy("Length at this show"),
        help_text=gettext_lazy("Empty: that of the song."),
    )
    joined = forms.BooleanField(
        label=gettext_lazy("Straight on from the song before (medley)"), required=False
    )
    reprise = forms.BooleanField(label=gettext_lazy("Reprise: played once more"), required=False)
    remove = forms.BooleanField(label=gettext_lazy("Take it out of this set"), required=False)

    def __init__(self, line: Line, place: int, song: Song | None, data: Any = None) -> None:
        first = {field: getattr(line, field) for field in FIELDS}
        super().__init__(data, prefix=line.id, initial={"place": place, **first})
        self.line, self.was_at, self.song = line, place, song
        name = song.title if song else line.title
        self.fields["place"].label = _("Place of {name}").format(name=name)
        unused = ("title",) if line.kind == SONG else ("cut", "joined", "reprise")
        for field in unused:
            del self.fields[field]
        if line.kind not in (SONG, SetEntry.Kind.BREAK, SetEntry.Kind.NOTE):
            del self.fields["length_s"]
        elif line.kind != SONG:
            self.fields["length_s"].label, self.fields["length_s"].help_text = _("Length"), ""

    def made(self) -> Line | None:
        """The line as it was typed; None if it is to be taken out."""
        if self.cleaned_data["remove"]:
            return None
        values = {name: self.cleaned_data[name] for name in FIELDS if name in self.fields}
        return replace(self.line, **values)

    @property
    def details(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name != "place"]

    @property
    def kind_label(self) -> str:
        kind = KINDS.get(self.line.kind)
        return _(kind) if kind else ""

    @property
    def name(self) -> str:
        return self.song.title if self.song else title_of(self.line)


class AddForm(forms.Form):
    """The length wanted, and what is put in at the end or at a place."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    target_s = DurationInput(
        label=gettext_lazy("Length wanted"),
        help_text=gettext_lazy("1:15:00, with gaps and breaks."),
    )
    add_song = forms.ChoiceField(label=gettext_lazy("Song"), required=False)
    add_kind = forms.ChoiceField(label=gettext_lazy("Or what stands between songs"), required=False)
    add_words = forms.CharField(
        label=gettext_lazy("In words"),
        required=False,
        max_length=LONGEST_WORDS,
        widget=forms.TextInput(
            attrs={"placeholder": gettext_lazy("Encore"), "autocomplete": "off"}
        ),
    )
    add_length = DurationInput(label=gettext_lazy("Its length, of a break or words"))
    add_place = forms.IntegerField(
        label=gettext_lazy("At place"),
        required=False,
        min_value=1,
        help_text=gettext_lazy("Empty: at the end."),
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, songs: Sequence[Song], taken: set[str], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        new = [(str(song.pk), song.title) for song in songs if str(song.pk) not in taken]
        again = [(f"{AGAIN}{song.pk}", song.title) for song in songs if str(song.pk) in taken]
        choices: list[Any] = [("", _("no song")), *new]
        if again:
            choices.append((_("Once more, as a reprise"), again))
        self.fields["add_song"].choices = choices  # type: ignore[attr-defined]
        self.fields["add_kind"].choices = [  # type: ignore[attr-defined]
            ("", _("nothing")),
            *((kind, _(words)) for kind, words in KINDS.items()),
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        kind = cleaned.get("add_kind")
        if cleaned.get("add_words") and not kind:
            self.add_error("add_kind", _("Say what these words are: a section, a break …"))
        if kind and not cleaned.get("add_words"):
            cleaned["add_words"] = KINDS[kind]  # as it is kept, in English: see `title_of`
        return cleaned

    def added(self) -> Iterator[Line]:
        cleaned = self.cleaned_data
        if song := cleaned["add_song"]:
            again = song.startswith(AGAIN)
            yield Line(str(uuid4()), song=song.removeprefix(AGAIN), reprise=again)
        if kind := cleaned["add_kind"]:
            yield Line(
                str(uuid4()), kind, title=cleaned["add_words"], length_s=cleaned["add_length"]
            )


class SetForm(OrderedForm[State]):
    """All of the page: what it was made from (`base`), and what was typed."""

    CONFLICT = gettext_lazy("Someone else changed this set, too")
    ORDER_QUESTION = gettext_lazy("Which order is played?")
    more: AddForm

    def __init__(self, show: Show, found: SetOfShow, data: Any = None) -> None:
        """`found` is the set as it is now. Raises ValidationError where `data` is not of a page."""
        super().__init__(data, found.version)
        is_now = self.version == found.version
        self.show, self.base = show, state_of(found) if is_now else state_at(show, self.version)
        every = list(Song.objects.filter(production=show.leg.production_id))
        self.titles = {str(song.pk): song.title for song in every}
        by_id = {str(song.pk): song for song in every}
        self.lines = [
            LineForm(line, at, by_id.get(line.song or ""), self.data_of(line.id))
            for at, line in enumerate(self.base.lines, start=1)
        ]
        taken = {line.song for line in self.base.lines if line.song}
        first = {"version": self.version, "target_s": self.base.target_s}
        in_use = [song for song in every if not song.is_retired]
        self.more = AddForm(in_use, taken, data, initial=first)

    def wanted(self) -> State:
        """The set as it was typed, in its new order."""
        lines = self.typed_lines()
        place = self.more.cleaned_data["add_place"] or len(lines) + 1
        lines[place - 1 : place - 1] = self.more.added()
        return State(tuple(lines), self.more.cleaned_data["target_s"])

    def shown(self, line: Line) -> str:
        name = self.titles.get(line.song or "") or title_of(line)
        return _("{song} (cut)").format(song=name) if line.cut else name

    def label_of(self, clash: Clash) -> str:
        field = FIELD_LABELS[clash.field]
        if clash.line is None:
            return str(field)
        return _("{line}, {field}").format(line=name_of(clash.line, self.titles), field=field)
