"""Forms of a line check: what and why, how it ended, and what becomes the rig's own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.base import EditForm
from core.models import Show, User
from notes.linecheck.services import Deviation, MarkedMeanwhile, close, mark, safe_with
from notes.models import LineCheck, LineCheckMark
from rigs.changes.reasons import ReasonKind
from rigs.editing.swaps import AsksAboutSwaps, in_words
from rigs.lists.input_list import DayInput
from rigs.models import Device
from rigs.models.shows import WHY
from rigs.swaps import Swap

State = LineCheckMark.State


class DeviationForm(forms.Form):
    """What deviates at one input, or that it is absent, and why."""

    state = forms.ChoiceField(
        label=gettext_lazy("What was found"),
        widget=forms.RadioSelect,
        choices=[
            (State.DEVIATES, gettext_lazy("changed")),
            (State.ABSENT, gettext_lazy("not used at this show")),
        ],
    )
    why = forms.ChoiceField(label=gettext_lazy("why"), widget=forms.RadioSelect, choices=WHY)
    words = forms.CharField(
        label=gettext_lazy("in a few words"),
        max_length=500,
        help_text=gettext_lazy("What is different, and who knows more."),
    )
    device = forms.ModelChoiceField(
        Device.objects.none(),
        required=False,
        label=gettext_lazy("substitute"),
        help_text=gettext_lazy("For this show only. The rig and what was signed stay as they are."),
    )
    as_it_is = forms.ChoiceField(
        required=False,
        label=gettext_lazy("phantom power, pad and gain of the substitute"),
        widget=forms.RadioSelect,
        choices=[
            (
                "safe",
                gettext_lazy(
                    "safe: phantom power off unless it needs it, gain down where it is louder"
                ),
            ),
            ("kept", gettext_lazy("leave them as they are")),
        ],
        help_text=gettext_lazy("What that is for each is below, under “Possible substitutes”."),
    )
    hired = forms.BooleanField(
        required=False, label=gettext_lazy("its microphone or DI is hired locally")
    )
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    set_for_it = ""  # after try_mark: what was set along with the device, in words

    def __init__(
        self, *args: Any, show: Show, day: DayInput, mark: LineCheckMark | None, **more: Any
    ) -> None:
        self.show, self.day, self.mark = show, day, mark
        more["initial"] = self._there()
        super().__init__(*args, **more)
        field = self.fields["device"]
        devices = Device.objects.live().filter(production=day.listed.rig.production_id)
        if day.is_substituted and day.entry.device is not None:
            # The substitute in place stays a choice if it was retired since.
            devices = devices | Device.objects.filter(pk=day.entry.device.pk)
        field.queryset = devices  # type: ignore[attr-defined]
        listed = day.listed.device or _("nothing")
        as_listed = _("{device}, as on the input list").format(device=listed)
        field.empty_label = as_listed  # type: ignore[attr-defined]

    def _there(self) -> dict[str, Any]:
        day, mark = self.day, self.mark
        shown = day.difference if mark is None or not mark.why else mark
        if mark is not None and mark.state != State.OK:
            state = mark.state
        else:
            state = State.ABSENT if day.absent else State.DEVIATES
        return {
            "state": state,
            "seen": mark.version if mark else 0,
            "why": shown.why if shown else "",
            "words": shown.words if shown else "",
            "device": day.entry.device_id if day.is_substituted else None,
            "hired": bool(day.difference and day.difference.hired_locally),
            # Safe is what nobody has to choose: wrong phantom power may harm gear, wrong gain may
            # hurt ears.
            "as_it_is": "safe",
        }

    def try_mark(self, by: User) -> LineCheckMark | None:
        """The mark; None where the form has errors to show.

        Raises MarkedMeanwhile, with the form ready to be sent again.
        """
        if not self.is_valid():
            return None
        cleaned, day = self.cleaned_data, self.day
        # Choosing the device of the list means that there is no substitute.
        device = cleaned["device"] if cleaned["device"] != day.listed.device else None
        difference = Deviation(
            cleaned["why"],
            cleaned["words"],
            device,
            cleaned["hired"],
            cleaned["as_it_is"] == "kept",
        )
        safe = (
            {}
            if difference.as_it_is or cleaned["state"] == State.ABSENT
            else safe_with(day, device)
        )
        try:
            saved = mark(
                self.show,
                day.listed,
                state=cleaned["state"],
                by=by,
                seen=cleaned["seen"],
                difference=difference,
            )
        except MarkedMeanwhile as meanwhile:
            # The next try is meant: whoever sends this form again has seen the message.
            data = cast(QueryDict, self.data).copy()
            data["seen"] = str(meanwhile.mark.version)
            self.data = data
            self.add_error(None, meanwhile.messages[0])
            raise
        except ValidationError as refused:
            self.add_error(None, refused)
            return None
        self.set_for_it = in_words(safe)
        return saved


class FinishForm(EditForm):
    """Who was told and what to repair: the end of a line check."""

    def __init__(self, *args: Any, by: User | None = None, **more: Any) -> None:
        self.by = by
        super().__init__(*args, **more)
        if not self.instance.is_finished and not self.instance.to_repair:
            # Only where nobody has written anything: words of the crew are never replaced.
            self.initial["to_repair"] = failed(self.instance)

    def save(self, commit: bool = True) -> LineCheck:
        assert self.by is not None  # noqa: S101 - only what is sent is saved, and somebody sent it
        values = {name: self.cleaned_data[name] for name in ("who_was_told", "to_repair")}
        return close(self.instance, by=self.by, **values)

    class Meta:
        model = LineCheck
        fields = ("who_was_told", "to_repair")


def failed(check: LineCheck) -> str:
    """What failed at the show, a line each: what the list of repairs begins with. One query."""
    marks = check.marks.filter(why=ReasonKind.FAILURE).exclude(state=State.OK)
    rows = marks.select_related("input__device", "instead_of").order_by("input__number", "at")
    return "\n".join(
        f"{each.instead_of or each.input.device or each.input.name} ({each.input}): {each.words}"
        for each in rows
    )


class PermanentForm(AsksAboutSwaps):
    """The words of the reason, whose kind is what was stated at the show, and what becomes of what
    was set for the old device (`swaps`)."""

    base = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    words = forms.CharField(
        label=gettext_lazy("Why for good"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("The reason that the change will carry."),
    )

    def __init__(self, *args: Any, swaps: Sequence[Swap] = (), **more: Any) -> None:
        super().__init__(*args, **more)
        self.add_swaps(swaps)

    def decide_on(self, head: int) -> None:
        """What is sent next is meant for change `head` of the rig."""
        data = cast(QueryDict, self.data).copy()
        data["base"] = str(head)
        self.data = data
