"""Forms of one show: what differs at an input, what is hired."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.forms.base import EditForm
from core.models import Show, User
from rigs.editing.swaps import DecidesSwap
from rigs.fields import PartField, ValueKind
from rigs.lists.columns import show as cell
from rigs.models import Device, Input, ShowHire, ShowInput
from rigs.revisions.swaps import SwapUndecided
from rigs.shows.players import DepChanged, PlayerAtShow, set_dep
from rigs.shows.rigs import AtShow, by_player, choose, shows_after
from rigs.shows.services import differ
from rigs.wording.fields import label

NOTHING_DIFFERS = gettext_lazy("Say what is different; words alone belong into a listening note.")
TAKEN_BACK = gettext_lazy(
    "Someone else said meanwhile that nothing differs here. Save again to keep yours."
)


class DayInputForm(DecidesSwap, EditForm):
    """What differs at one input of one show. What is left empty is as in the list."""

    def __init__(self, *args: Any, by: User | None = None, **more: Any) -> None:
        self.by = by
        super().__init__(*args, **more)
        listed = self.instance.input
        for row in ShowInput.ROWS:
            if row.kind is ValueKind.YES_NO:
                self._offer_as_listed(row)
            field, there = self.fields[row.name], cell(row.key, listed)
            field.help_text = " ".join(filter(None, [_in_list(there), str(field.help_text)]))
        reasons = ShowInput._meta.get_field("why").choices
        self.fields["why"].choices = [("", _("choose …")), *reasons]  # type: ignore[attr-defined,misc]
        self._offer_devices()
        self.add_decided()

    def _offer_as_listed(self, row: PartField) -> None:
        """Offer three answers: on at this show, off at this show, or as on the list."""
        off, on = row.off_on
        self.fields[row.name] = forms.TypedChoiceField(
            label=label(Input.KIND, row.name),
            choices=[
                ("", _("as on the input list")),
                ("true", _("{what} at this show").format(what=_(on))),
                ("false", _("{what} at this show").format(what=_(off))),
            ],
            required=False,
            empty_value=None,
            coerce=lambda said: said == "true",
        )
        now = getattr(self.instance, row.name)
        self.initial[row.name] = "" if now is None else str(now).lower()

    def _offer_devices(self) -> None:
        production = self.instance.show.leg.production_id
        devices = Device.objects.live().filter(production=production)
        # Also one that was retired since, or the form would refuse what is on record.
        if self.instance.device_id:
            devices = devices | Device.objects.filter(pk=self.instance.device_id)
        field = self.fields["device"]
        field.queryset, field.empty_label = devices, _("as on the input list")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        differs = any(cleaned.get(name) not in (None, "") for name in ShowInput.OVERRIDES)
        differs = differs or any(cleaned.get(name) for name in ("absent", "hired_locally"))
        if self.instance._state.adding and not differs and (cleaned.get("words") or "").strip():
            self.add_error("words", NOTHING_DIFFERS)
        return cleaned

    def _check_not_stale(self, cleaned: dict[str, Any]) -> None:
        if not self.instance._state.adding:
            super()._check_not_stale(cleaned)
        # The row that the page showed is gone. Version 0 on the page lets the next save make a new
        # one.
        elif cleaned.get("version"):
            data = self.data.copy()
            data[self.add_prefix("version")] = "0"
            self.data = data
            raise ValidationError(TAKEN_BACK)

    def save(self, commit: bool = True) -> ShowInput | None:
        """The row as it is now; None where nothing differs any more."""
        assert self.by is not None  # noqa: S101 - only what is sent is saved, and somebody sent it
        units = [row.unit_field for row in ShowInput.ROWS if row.is_length]
        names = (*(self._meta.fields or ()), *units)
        values = {name: self.cleaned_data[name] for name in names}
        # What somebody changed was set knowingly; what the form sends along unchanged was not.
        known = [*self.changed_data, *self.decided()]
        return differ(self.instance.show, self.instance.input, by=self.by, decided=known, **values)

    def try_save(self) -> bool:
        """Save, and report whether it was; an undecided swap becomes a question at its field."""
        try:
            return super().try_save()
        except SwapUndecided as undecided:
            self.ask(undecided)
            return False

    class Meta:
        model = ShowInput
        fields = (
            "absent",
            "device",
            "hired_locally",
            *[name for name in ShowInput.OVERRIDES if name != "device"],
            "why",
            "words",
        )


def _in_list(there: str) -> str:
    if not there:
        return _("In the list: nothing.")
    return _("In the list: {value}.").format(value=there)


class HireForm(EditForm):
    """The form on what of the pack list is hired at a show."""

    # A hire firm brings several things of one section.
    SAME_AGAIN = ("section", "from_whom")

    def __init__(self, *args: Any, by: User | None = None, **more: Any) -> None:
        self.by = by
        super().__init__(*args, **more)

    def save(self, commit: bool = True) -> Any:
        if self.by is not None:
            self.instance.by, self.instance.by_name = self.by, self.by.name
        self.instance.at = clock.now()
        with transaction.atomic():
            return super().save(commit)

    def _get_validation_exclusions(self) -> set[str]:
        # The show is set by the page; with it what is hired twice can be noticed.
        return super()._get_validation_exclusions() - {"show"}  # type: ignore[misc,no-any-return]

    class Meta:
        model = ShowHire
        fields = ("section", "what", "count", "from_whom", "words")


class RigsForm(forms.Form):
    """The form on which rigs play at a show, player by player.

    `shown` is which of them the page showed as playing when it was made.
    """

    shown = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, show: Show, rigs: Sequence[AtShow], **more: Any) -> None:
        self.show, self.rigs = show, rigs
        # What the page shows goes along, so that only what was turned is written, whoever saved
        # since.
        more["initial"] = {"shown": " ".join(f"{each.rig.pk}={int(each.plays)}" for each in rigs)}
        super().__init__(*args, **more)
        for player, own in by_player(rigs):
            self.fields[f"player-{player.pk}"] = forms.MultipleChoiceField(
                label=_("{player}, guest: only what is ticked").format(player=player)
                if player.guest
                else str(player),
                required=False,
                widget=forms.CheckboxSelectMultiple,
                choices=[(str(each.rig.pk), _called(each)) for each in own],
                initial=[str(each.rig.pk) for each in own if each.plays],
            )
        later = len(shows_after(show))
        if later:
            self.fields["later_too"] = forms.BooleanField(
                required=False,
                label=_("also at the later shows of this leg ({later})").format(later=later),
                help_text=_("A change of rigs that lasts, for instance for a run of flights."),
            )

    def clean_shown(self) -> dict[UUID, bool]:
        """Whether the page showed each rig as playing, by the id of the rig."""
        pairs = (each.partition("=") for each in self.cleaned_data["shown"].split())
        try:
            return {UUID(rig): plays == "1" for rig, _, plays in pairs}
        except ValueError:
            raise ValidationError(_("This page is out of date. Load it again.")) from None

    def try_choose(self, by: User) -> list[str] | None:
        """The names of the rigs whose part changed; None: show the errors."""
        if not self.is_valid():
            return None
        cleaned = self.cleaned_data
        # A rig that is missing here and was not shown either is left as it is (see `choose`).
        chosen = {
            UUID(rig)
            for name, rigs in cleaned.items()
            if name.startswith("player-")
            for rig in rigs
        }
        try:
            return choose(
                self.show,
                shown=cleaned["shown"],
                playing=chosen,
                by=by,
                later_too=cleaned.get("later_too", False),
            )
        except ValidationError as refused:
            self.add_error(None, refused)
            return None


def _called(each: AtShow) -> str:
    name, variant = each.rig.name, each.rig.get_variant_display()
    if each.is_usual:
        return _("{rig} ({variant}, as usual)").format(rig=name, variant=variant)
    return f"{name} ({variant})"


class DepForm(forms.Form):
    """Who plays for a player at a show, and what differs for them."""

    name = forms.CharField(label=gettext_lazy("Who plays"), max_length=120, required=False)
    differs = forms.CharField(
        label=gettext_lazy("What differs for them"),
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("Own instrument, in-ear, what they hear loudest."),
    )
    to_leg_end = forms.BooleanField(required=False, label=gettext_lazy("To leg end"))
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, *args: Any, show: Show, player: PlayerAtShow, **more: Any) -> None:
        self.show, self.player = show, player
        noted = player.noted
        own = noted if noted is not None and noted.show_id == show.pk else None
        # A dep of an earlier show is filled in, so that one word can be changed for this show.
        more["initial"] = {
            "name": noted.who if noted else "",
            "differs": noted.differs if noted else "",
            "to_leg_end": own is not None and own.to_leg_end,
            "version": own.version if own else 0,
        }
        super().__init__(*args, **more)
        self.fields["name"].help_text = _("Empty: {player} plays. No account is needed.").format(
            player=player.player
        )
        later = len(shows_after(show))
        if later:
            self.fields["to_leg_end"].label = _(
                "also at the later shows of this leg ({later})"
            ).format(later=later)
        else:
            del self.fields["to_leg_end"]

    def try_save(self, by: User) -> bool:
        """Save, and report whether it was; False: show the errors."""
        if not self.is_valid():
            return False
        cleaned = {"to_leg_end": False} | self.cleaned_data
        try:
            set_dep(self.show, self.player.player, by=by, **cleaned)
        except DepChanged as changed:
            self._show_what_is_there(changed)
            return False
        except ValidationError as refused:
            self.add_error(None, refused)
            return False
        return True

    def _show_what_is_there(self, changed: DepChanged) -> None:
        there = changed.there
        data = cast(QueryDict, self.data).copy()
        data["version"] = str(there.version if there else 0)
        self.data = data
        self.add_error(None, changed)
        said = PlayerAtShow(self.player.player, (), there).said if there else _("nobody deps")
        self.add_error("name", _("Now there: {said}.").format(said=said))
