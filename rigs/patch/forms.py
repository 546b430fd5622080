"""Forms of the patch: a box, a run, the line of an input, many at once, what is lent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.lines import Words, lines_field
from core.languages.typed import narrow
from core.lines import read_each
from core.models import User
from rigs.editing.refusable import Refusable
from rigs.lists.sheets import MAX_ROWS
from rigs.models import LentLine, PatchBox, PatchBoxAtShow, PatchLine, PatchRun
from rigs.patch.load import Patch
from rigs.patch.rows import PatchRow
from rigs.patch.services import (
    FIELDS,
    add_run,
    save_box,
    save_box_at,
    save_lent,
    values_of,
    write_lines,
)
from rigs.patch.words import MOST_LINES, Place, SaidLine, read_line

MAX_BYTES = 5 * 1024 * 1024
MEANWHILE = gettext_lazy(
    "Someone else changed this line while you were typing: it is at {} now. Save again to keep "
    "yours."
)
PLACEHOLDER = gettext_lazy(
    "1–16 → A 1–16\n17–20 → SL 1, monitor 17\nLead voice → A 12, phantom from monitor"
)


class BoxForm(Refusable):
    SAME_AGAIN = ("kind", "ways", "to_desk")

    def save(self, commit: bool = True) -> PatchBox:
        return save_box(self.instance, by=self.bump())

    class Meta:
        model = PatchBox
        fields = ("name", "mark", "kind", "ways", "place", "to_desk", "split", "direct")


class RunForm(Refusable):
    """Ways of `instance.source` plugged into another box."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        source = self.instance.source
        others = PatchBox.objects.live().filter(production=source.production)
        field = self.fields["target"]
        field.queryset = others.exclude(pk=source.pk)  # type: ignore[attr-defined]
        field.label = _("into box")

    def save(self, commit: bool = True) -> PatchRun:
        return add_run(self.instance, by=self.bump())

    class Meta:
        model = PatchRun
        fields = ("first", "count", "target", "target_first")


class BoxAtShowForm(Refusable):
    """What stands in the place of a box at a show; what is empty is as for all shows."""

    later_too = forms.BooleanField(
        label=gettext_lazy("at the later shows of this leg, too"), required=False, initial=False
    )

    def save(self, commit: bool = True) -> PatchBoxAtShow:
        later_too = self.cleaned_data["later_too"]
        return save_box_at(self.instance, by=self.bump(), later_too=later_too)

    class Meta:
        model = PatchBoxAtShow
        fields = ("name", "ways", "place", "runs", "words")


class LentForm(Refusable):
    SAME_AGAIN = ("direction", "act", "box")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        boxes = PatchBox.objects.live().filter(production=self.instance.show.leg.production)
        field = self.fields["box"]
        field.queryset, field.empty_label = boxes, _("takes no ways")  # type: ignore[attr-defined]

    def save(self, commit: bool = True) -> LentLine:
        return save_lent(self.instance, by=self.bump())

    class Meta:
        model = LentLine
        fields = ("direction", "act", "what", "box", "first", "count", "plugged", "words")


class LineForm(forms.ModelForm):  # type: ignore[type-arg]
    """The line of one input, of all shows or of one. `seen` is the row that the page showed."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, patch: Patch, row: PatchRow, data: Any = None, *, by: User) -> None:
        self.patch, self.row, self.by = patch, row, by
        stored = patch.stored.get(row.entry_id)
        self.now = f"{stored.pk}:{stored.version}" if stored else ""
        initial = values_of(stored) | {"seen": self.now}
        super().__init__(data, instance=PatchLine(input=row.day.entry), initial=initial)
        field = self.fields["box"]
        field.queryset = PatchBox.objects.live().filter(production=patch.production)  # type: ignore[attr-defined]
        field.empty_label = _("no way")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("seen", "") != self.now:
            data = cast(QueryDict, self.data).copy()
            data["seen"] = self.now
            self.data = data
            raise ValidationError(MEANWHILE.format(self.row.line.path or _("no way")))
        return cleaned

    def try_save(self) -> bool:
        if not self.is_bound or not self.is_valid():
            return False
        values = {name: self.cleaned_data[name] for name in FIELDS}
        entry = self.row.entry_id
        try:
            write_lines(
                self.patch.production,
                {entry: values},
                names={entry: self.row.name},
                by=self.by,
                show=self.patch.show,
            )
        except ValidationError as refused:
            self.add_error(None, refused)
            return False
        return True

    class Meta:
        model = PatchLine
        fields = FIELDS


class FillForm(forms.Form):
    """Ways of many inputs, written one a line. `changes` are by input, once it is valid."""

    lines = lines_field(
        gettext_lazy("Inputs and ways, one a line"),
        gettext_lazy(
            "Channels or the name of an input, an arrow or “to”, the box with its first way. "
            "Behind a comma: “monitor 9”, “phantom from monitor”, “split passive”. “none” takes a "
            "way away."
        ),
        PLACEHOLDER,
        gettext_lazy("Write at least one line."),
    )
    changes: dict[UUID, dict[str, Any]]

    def __init__(self, patch: Patch, rows: Sequence[PatchRow], *args: Any, **more: Any) -> None:
        self.patch, self.rows = patch, rows
        super().__init__(*args, **more)

    @property
    def words(self) -> list[Words]:
        """What a tap puts in."""
        marks = [box.mark for box in self.patch.boxes]
        return [Words(_("Boxes"), marks, " → ")] if marks else []

    def clean_lines(self) -> str:
        text: str = self.cleaned_data["lines"]
        self.changes = {}
        try:
            read_each(
                text,
                self._read,
                name_of=lambda line: line,
                most=MOST_LINES,
                things="lines",
            )
        except ValueError as error:
            raise ValidationError(str(error).splitlines()) from None
        return text

    def _read(self, line: str) -> str:
        """Raises ValueError in words for a form."""
        if not self.patch.boxes:
            raise ValueError(_("There is no box yet: add one first."))
        said = read_line(line, self.patch.names)
        for row, step in self._meant(said):
            if row.entry_id in self.changes:
                raise ValueError(_("{name} stands in an earlier line, too.").format(name=row.name))
            self.changes[row.entry_id] = self._values(said, step)
        return line.strip()

    def _meant(self, said: SaidLine) -> list[tuple[PatchRow, int]]:
        """The inputs that a line means, each with how far it is from the first."""
        if said.name:
            return [(self._named(said.name), 0)]
        found = [
            (row, row.day.entry.number - said.first)
            for row in self.rows
            if row.day.entry.number is not None and said.first <= row.day.entry.number <= said.last
        ]
        if not found:
            raise ValueError(
                _("No input has channel {first}.").format(first=said.first)
                if said.first == said.last
                else _("No input has a channel from {first} to {last}.").format(
                    first=said.first, last=said.last
                )
            )
        steps = [step for _row, step in found]
        for row, step in found:
            if steps.count(step) > 1:
                raise ValueError(
                    _(
                        "Channel {channel} stands for several inputs: write the name, “{name}”."
                    ).format(channel=said.first + step, name=row.name)
                )
        return found

    def _named(self, name: str) -> PatchRow:
        said = narrow(name).casefold()
        found = [row for row in self.rows if narrow(row.name).casefold() == said]
        if not found:
            raise ValueError(_("No input is called “{name}”.").format(name=name))
        if len(found) > 1:
            raise ValueError(
                _("Several inputs are called “{name}”: write the channel.").format(name=name)
            )
        return found[0]

    def _values(self, said: SaidLine, step: int) -> dict[str, Any]:
        values: dict[str, Any] = {}
        if said.no_way:
            values |= {"box": None, "way": None}
        elif said.place is not None:
            values |= _place_values(said.place, step, self.patch)
        if said.monitor is not None:
            values["monitor_channel"] = said.monitor + step
        if said.phantom_from:
            values["phantom_from"] = said.phantom_from
        if said.split:
            values["split"] = said.split
        return values

    def try_save(self, by: User) -> list[str] | None:
        """What changed, in sentences; None: show the errors."""
        if not self.is_bound or not self.is_valid():
            return None
        try:
            return write_lines(
                self.patch.production,
                self.changes,
                names=names_of(self.rows),
                by=by,
                show=self.patch.show,
            )
        except ValidationError as refused:
            self.add_error("lines", ValidationError(refused.messages))
            return None


def names_of(rows: Sequence[PatchRow]) -> Mapping[UUID, str]:
    return {row.entry_id: row.name for row in rows}


def _place_values(place: Place, step: int, patch: Patch) -> dict[str, Any]:
    box = next(box for box in patch.boxes if str(box.pk) == place.box.id)
    return {"box": box, "way": place.first + step}


class PatchFileForm(forms.Form):
    file = forms.FileField(
        label=gettext_lazy("Patch list"),
        help_text=format_lazy(
            gettext_lazy(
                "CSV or XLSX with a heading for the channel or the name of each input, and for box "
                "and way; up to {n} rows. You see what was read before anything is saved."
            ),
            n=MAX_ROWS,
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size and file.size > MAX_BYTES:
            raise forms.ValidationError(_("The file is larger than 5 MB."))
        return file


class StripForm(forms.Form):
    """What strips of labels are cut to."""

    by = forms.ChoiceField(
        label=gettext_lazy("strips"),
        choices=[
            ("box", gettext_lazy("of the boxes")),
            ("channel", gettext_lazy("FOH desk")),
            ("monitor", gettext_lazy("monitor desk")),
        ],
    )
    mm = forms.DecimalField(
        label=gettext_lazy("width of one label, mm"),
        min_value=8,
        max_value=80,
        initial=20,
        max_digits=4,
        decimal_places=1,
        help_text=gettext_lazy("From the middle of one socket or fader to the next."),
    )
    paper = forms.ChoiceField(
        choices=[("a4", "A4"), ("us-letter", gettext_lazy("Letter"))], label=gettext_lazy("Paper")
    )
