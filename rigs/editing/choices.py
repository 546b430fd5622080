"""Forms on which units or groups are ticked that an input picks up, or that a group consists of."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, Any, ClassVar, Self

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import leading
from core.models import Player
from rigs.changes.edits import Edit, Snapshot
from rigs.editing.part_forms import PartForm
from rigs.models import PARTS, Group, Member, Part, Rig, Unit
from rigs.picked_up import members_of, rig_of
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict
from rigs.revisions.sources import Choice, chosen_edits, chosen_in

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


SHOWN = "ticks"  # a page that was made before there was such a choice says nothing of it


class ChoosingForm(PartForm):
    """A form of one part with a list to tick. Each tick is a part of its own (`CHOICE_KIND`), so
    that what two people tick at once is brought together."""

    CHOICES: ClassVar[str]  # the name of the field
    CHOICE_KIND: ClassVar[str]
    CHOICE_LABEL: ClassVar[StrOrPromise]
    CHOICE_HELP: ClassVar[StrOrPromise] = ""

    def add_choices(self) -> None:
        """Call in limit_choices."""
        self.was = {} if self.is_new else chosen_in(self._then(), self.CHOICE_KIND, self.whole)
        self.fields[self.CHOICES] = forms.MultipleChoiceField(
            label=self.CHOICE_LABEL,
            help_text=self.CHOICE_HELP,
            required=False,
            choices=self.offered,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields[SHOWN] = forms.CharField(required=False, widget=forms.HiddenInput, initial="1")
        self.initial[self.CHOICES] = [about for _, about in self.was]

    @property
    def whole(self) -> str:
        return str(self.row.pk)

    def offered(self) -> list[tuple[str, str]]:
        """What can be ticked: ids, and how each is called."""
        raise NotImplementedError

    def _then(self) -> Snapshot:
        """The state that the form was opened on, or as much of it as is needed here."""
        if self.base < self.rig.head_number:
            return as_of(self.rig, self.base)
        model: Any = PARTS[self.CHOICE_KIND]
        rows = model.objects.live().filter(rig=self.rig)
        return {str(row.pk): row.fields() for row in rows}

    def edits(self) -> list[Edit]:
        if not self.cleaned_data.get(SHOWN):
            return super().edits()
        # Whoever brings a part back that was retired meanwhile sees nothing chosen for it yet.
        was = {} if "bring_back" in self.data else self.was
        wanted = self.choices_of(self.cleaned_data[self.CHOICES])
        return [*super().edits(), *chosen_edits(self.CHOICE_KIND, self.whole, was, wanted)]

    def choices_of(self, ticked: Iterable[str]) -> list[Choice]:
        """What was ticked, as fields of the parts that stand for it."""
        return [("unit", about) for about in ticked]

    def again(self, conflict: Conflict) -> Self:
        form = super().again(conflict)
        ticked, was = set(self.raw(self.CHOICES)), {about for _, about in self.was}
        now = set(form.initial[self.CHOICES])
        form.initial[self.CHOICES] = sorted((now | (ticked - was)) - (was - ticked))
        return form


def group_choices(rig: Rig) -> list[tuple[str, str]]:
    """The groups of `rig` with what they consist of: “the kit: Kick, Snare”. Three queries."""
    rows: list[Part] = [
        row for model in (Unit, Group, Member) for row in model.objects.live().filter(rig=rig)
    ]
    names = {str(row.pk): str(row) for row in rows if not isinstance(row, Member)}
    members = members_of({str(row.pk): row.fields() for row in rows})
    return [
        (
            group,
            _("{group}: {units}").format(
                group=names[group],
                units=_(", ").join(names[unit] for unit in units) or _("no unit yet"),
            ),
        )
        for group, units in members.items()
    ]


def unit_choices(rig: Rig) -> list[tuple[str, str]]:
    return [(str(unit.pk), unit.name) for unit in Unit.objects.live().filter(rig=rig)]


def others_of(rig: Rig, chosen: Collection[str] = ()) -> QuerySet[Player]:
    """The other players who have a rig, and those `chosen`."""
    there = Q(retired_at=None, rigs__retired=False) & ~Q(pk=rig.player_id)
    players = Player.objects.filter(there | Q(pk__in=chosen), production=rig.production_id)
    return players.distinct()


def player_choices(rig: Rig, chosen: Collection[str]) -> list[tuple[str, str]]:
    """All that each other player plays through, where they have a rig; what is chosen already, too.
    One query."""
    return [
        (str(player.pk), leading(rig_of(player.name), player.instrument))
        for player in others_of(rig, chosen)
    ]


class ChoosesSources(ChoosingForm):
    """For the form of an input: what it picks up beside its own unit."""

    CHOICES = "also"
    CHOICE_KIND = "source"
    CHOICE_LABEL = gettext_lazy("also picks up")
    CHOICE_HELP = gettext_lazy(
        "For an overhead, a room microphone or a submix: tick all that it hears."
    )

    def offered(self) -> list[tuple[str, str]]:
        offered = {
            "group": group_choices(self.rig),
            "unit": unit_choices(self.rig),
            "player": player_choices(self.rig, [about for _, about in self.was]),
        }
        self.kind_of = {about: kind for kind, each in offered.items() for about, _ in each}
        return [choice for each in offered.values() for choice in each]

    def choices_of(self, ticked: Iterable[str]) -> list[Choice]:
        own = self.cleaned_data.get("unit")
        # Its own unit is picked up anyhow; where it was ticked before, it may stay so.
        return [
            (self.kind_of[about], about)
            for about in ticked
            if own is None or about != str(own.pk) or ("unit", about) in self.was
        ]


class GroupForm(ChoosingForm):
    CHOICES = "units"
    CHOICE_KIND = "member"
    CHOICE_LABEL = gettext_lazy("units of the group")

    class Meta:
        model = Group
        fields = ("name",)

    def limit_choices(self) -> None:
        self.add_choices()

    def offered(self) -> list[tuple[str, str]]:
        return unit_choices(self.rig)

    def clean_name(self) -> str:
        """A name that says which one is meant, on a list and when it is typed."""
        name = str(self.cleaned_data["name"])
        groups = Group.objects.live().filter(rig=self.rig).exclude(pk=self.row.pk)
        taken = [*groups, *Unit.objects.live().filter(rig=self.rig)]
        if name.casefold() in {str(each).casefold() for each in taken}:
            raise forms.ValidationError(
                _("Something in this rig is called “{name}” already.").format(name=name)
            )
        return name

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.CHOICES in cleaned and not cleaned[self.CHOICES]:
            self.add_error(self.CHOICES, _("Tick the units that belong to it."))
        return cleaned
