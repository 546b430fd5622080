"""What people say after a check: all of it is as documented, or a control is to be turned back."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core.clock import now
from core.composed import Composed, Several, column
from core.models import Show, User
from rigs.checks.figures import listed
from rigs.knob_check.states import KnobState, states
from rigs.models import Control, PanelCheck, Rig, TurnBack


def stands_in_the_way(found: Collection[KnobState]) -> list[KnobState]:
    """The controls that are turned, and that nobody has turned back since."""
    return [
        each for each in found if each.is_turned and not (each.turn_back and each.turn_back.done_at)
    ]


def seen_by_eye(found: Collection[KnobState]) -> list[KnobState]:
    """What the photo did not show as documented, and a person has to have looked at."""
    return [each for each in found if not each.is_same]


@transaction.atomic
def confirm(check: PanelCheck, *, by: User, looked: bool) -> PanelCheck:
    """Put down that `by` says that all of it is as documented; `looked`: at what the photo could
    not tell, too. Said again, it stays as it was. Raises ValidationError."""
    rig = Rig.objects.select_for_update().get(pk=check.reference.rig_id)
    check = PanelCheck.objects.select_related("reference__rig", "before", "image").get(pk=check.pk)
    if check.confirmed_at is not None:
        return check
    found = states(check)
    if turned := stands_in_the_way(found):
        names = listed([each.name for each in turned])
        raise ValidationError(
            _("Not as documented: {names}. Take it over or turn it back first.").format(
                names=names
            ),
            code="turned",
        )
    eye = seen_by_eye(found)
    if eye and not looked:
        names = listed([each.name for each in eye])
        raise ValidationError(
            _("Look at these by eye first, and say so: {names}.").format(names=names), code="look"
        )
    check.confirmed_by, check.confirmed_name, check.confirmed_at = by, by.name, now()
    check.confirmed_in = rig.head_number
    check.confirmed_settings = {
        str(each.control.pk): each.control.setting for each in found if each.control
    }
    check.by_eye = [each.name for each in eye]
    check.save()
    return check


@transaction.atomic
def ask_to_turn_back(check: PanelCheck, control: Control, *, by: User) -> TurnBack:
    """A task for whoever is at the rig. Asked again, it is the one that is there."""
    seen = next((each for each in states(check) if each.control == control), None)
    if seen is None or not seen.is_turned:
        raise ValidationError(_("That control is not turned on this photo."))
    fresh = TurnBack(seen=seen.stands, by=by, by_name=by.name)
    fresh.stamp("at")
    columns = ("seen", "by", "by_name", "at", "page_at", "arrived_at", "device_said")
    task, _created = TurnBack.objects.get_or_create(
        panel_check=check,
        control=control,
        defaults={name: getattr(fresh, name) for name in columns},
    )
    return task


@transaction.atomic
def turned_back(task: TurnBack, *, by: User) -> None:
    """It stands as documented again. Said twice, the first counts."""
    task = TurnBack.objects.select_for_update().get(pk=task.pk)
    if task.done_at is None:
        task.done_at, task.done_name = now(), by.name
        task.save(update_fields=["done_at", "done_name"])


@transaction.atomic
def throw_away(check: PanelCheck) -> None:
    """A check that nobody has said anything to, with the tasks that came of it and are still open.
    Its photo goes with what nothing uses. Raises ValidationError."""
    check = PanelCheck.objects.select_for_update().get(pk=check.pk)
    if check.confirmed_at is not None:
        raise ValidationError(
            _("{name} has marked it as documented; it stays.").format(name=check.confirmed_name),
            code="confirmed",
        )
    if check.turn_backs.filter(done_at__isnull=False).exists():
        raise ValidationError(_("A control was turned back because of it; it stays."), code="done")
    check.turn_backs.all().delete()
    check.delete()


class PanelMark(NamedTuple):
    """The newest word on one panel: it was as documented. `since` names the controls whose setting
    on record has changed since."""

    check: PanelCheck
    since: tuple[str, ...]

    @property
    def name(self) -> str:
        return str(self.check.reference)

    @property
    def rig(self) -> Rig:
        return self.check.reference.rig


def marks_of(rigs: Collection[UUID]) -> list[PanelMark]:
    """The newest word on each panel of those rigs, the newest first. Two queries."""
    newest: dict[UUID, PanelCheck] = {}
    for row in _confirmed(rigs):
        newest.setdefault(row.reference_id, row)
    return _with_changes(list(newest.values()))


_confirmed = Composed(
    lambda rigs: (
        PanelCheck.objects.filter(reference__rig__pk__among=rigs, confirmed_at__isnull=False)
        .filter(reference__retired=False)
        .select_related("reference__rig__player", "show")
        .order_by("-confirmed_at", "-pk")
    ),
    Several(column(Rig)),
)


def marks_at(show: Show) -> list[PanelMark]:
    """What was said of panels at this show, the newest of each. Two queries."""
    rows = (
        PanelCheck.objects.filter(show=show, confirmed_at__isnull=False)
        .select_related("reference__rig__player", "show")
        .order_by("-confirmed_at", "-pk")
    )
    newest: dict[UUID, PanelCheck] = {}
    for row in rows:
        newest.setdefault(row.reference_id, row)
    return _with_changes(list(newest.values()))


def _with_changes(checks: Sequence[PanelCheck]) -> list[PanelMark]:
    ids = {control for check in checks for control in check.confirmed_settings}
    now_at = {str(each.pk): each for each in Control.objects.filter(pk__in=ids)} if ids else {}
    return [
        PanelMark(
            check,
            tuple(
                str(now_at[control])
                for control, setting in check.confirmed_settings.items()
                if control in now_at
                and (now_at[control].retired or now_at[control].setting != setting)
            ),
        )
        for check in checks
    ]


def open_tasks(rigs: Collection[UUID]) -> list[TurnBack]:
    """What is still to be turned back, the oldest first. One query."""
    return list(
        TurnBack.objects.filter(control__rig__in=list(rigs), done_at=None, control__retired=False)
        .select_related("control__unit", "control__rig__player", "panel_check")
        .order_by("at", "pk")
    )
