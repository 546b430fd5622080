"""Write what is other about a unit at a show.

The rig is touched by `make_permanent` alone, and there through the gateway.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.languages.choice import as_stored
from core.languages.words import apart
from core.models import Show, User
from core.moments import written
from rigs.changes.edits import Snapshot
from rigs.changes.reasons import Reason, ReasonKind
from rigs.midi import message_text
from rigs.models import (
    ControlAtShow,
    Revision,
    SongSetting,
    Unit,
    UnitAtShow,
    UnitAtShowChange,
)
from rigs.revisions.read import live
from rigs.revisions.record import record
from rigs.tonight.history import NOT_SENT, Says
from rigs.tonight.layers import (
    counting,
    edits_of,
    laid,
    messages_to,
    numbers_of,
    strings_of,
)
from rigs.tonight.records import SCALE, Lasts, by_rig, layer_of, rows_at

What = UnitAtShow.What
# What a unit may differ in besides its controls; one of them is enough to say.
DIFFERENT = (
    "tuning",
    "strings",
    "stage_position",
    "radio",
    "pack",
    "session",
    "midi_channel",
    "messages",
)
VALUES = (
    *("gear", "maker", "model", "serial", "from_whom", "photo"),
    *DIFFERENT,
    *("why", "words"),
)
RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing its gear.")
RETIRED_UNIT = gettext_lazy("This unit is retired. Restore it before saying what differs.")
NOTHING = gettext_lazy("Say what is different at this show.")
TAKEN_BACK = gettext_lazy(
    "This does not hold any more: somebody took it back or made it permanent."
)


class SaidMeanwhile(ValidationError):
    """Somebody else said something of the unit since the page was made."""

    def __init__(self, row: UnitAtShow) -> None:
        self.row = row
        super().__init__(
            _(
                "{by_name} said something of “{unit}” at this show meanwhile: "
                "{in_words}. Compare it with yours, then save again to keep yours."
            ).format(by_name=row.by_name, unit=row.unit, in_words=apart(in_words(row)))
        )


@dataclass(frozen=True, slots=True)
class Dial:
    """A control as it is to stand. `about` is the id of one that is there; None of what came."""

    setting: str
    about: str | None = None
    name: str = ""
    style: str = "clock"
    low: Any = None
    high: Any = None
    choices: str = ""
    symbol: str = ""


@transaction.atomic
def say(
    show: Show,
    unit: Unit,
    *,
    by: User,
    what: str,
    lasts: str = Lasts.SHOW,
    dials: Sequence[Dial] = (),
    seen: int | None = None,
    instead_of: UnitAtShow | None = None,
    **values: Any,
) -> UnitAtShow | None:
    """Store what is other about `unit` at `show`; what is not named is as documented.

    None where nothing differs any more. `seen` is the version of the row that the page showed, 0
    for none. A substitute whose model is another one gets a row of its own, so that the one before
    is remembered; so does what is to last for another time than `instead_of`. Raises
    ValidationError, keyed by field, and SaidMeanwhile. Who may is for the caller to ask.
    One transaction.
    """
    held = _lock(show)
    check_live(held, unit)
    if instead_of is not None and instead_of.lasts != lasts and instead_of.show_id == held.pk:
        moved = UnitAtShow.objects.filter(pk=instead_of.pk, withdrawn_at=None).first()
        if moved is not None:
            with as_stored():
                now = Says.NOW.said(lasts=Lasts(lasts).label)
            _withdraw(moved, by, [now])
        seen = None
    there = UnitAtShow.objects.filter(show=held, unit=unit, lasts=lasts, withdrawn_at=None).first()
    if there is not None and seen is not None and seen != there.version:
        raise SaidMeanwhile(there)
    if there is not None and _is_another(there, what, values):
        _withdraw(there, by, [Says.ANOTHER_CAME.in_english()])
        there = None
    row = there or UnitAtShow(show=held, unit=unit, lasts=lasts, version=0)
    row.what = what
    for name in VALUES:
        setattr(row, name, values.get(name, UnitAtShow._meta.get_field(name).get_default()))  # type: ignore[union-attr]
    controls = _controls(row, dials)
    if what == What.SET:
        below = state_below(row)
        _leave_out_what_is_there(row, below)
        controls = [c for c in controls if _differs(c, below)]
        if not controls and not any(getattr(row, name) for name in DIFFERENT):
            if there is not None:
                _withdraw(there, by, [Says.AS_DOCUMENTED.in_english()])
            return None
    row.by, row.by_name, row.version = by, by.name, row.version + 1
    row.stamp("at")
    row.full_clean()
    row.save()
    row.controls.all().delete()
    for at, control in enumerate(controls, start=1):
        control.row, control.position = row, at
        control.full_clean()
        control.save()
    with as_stored():
        words = in_words(row)
    _note(row, by, words)
    return row


def _is_another(there: UnitAtShow, what: str, values: Mapping[str, Any]) -> bool:
    """Whether what came before is worth remembering apart."""
    before = (there.what, there.maker.casefold(), there.model.casefold())
    now = (what, str(values.get("maker", "")).casefold(), str(values.get("model", "")).casefold())
    return there.what == What.REPLACED and before != now


def _controls(row: UnitAtShow, dials: Iterable[Dial]) -> list[ControlAtShow]:
    made = []
    for dial in dials:
        scale = {name: getattr(dial, name) for name in SCALE}
        control = ControlAtShow(row=row, about=dial.about, **scale)
        # In its one spelling before it is compared with what is there.
        control.clean()
        made.append(control)
    return made


def state_below(row: UnitAtShow) -> Snapshot:
    """The rig of the unit as everything below `row` has it."""
    rig = row.unit.rig
    below = [r for r in rows_at(row.show, [rig]) if r.pk != row.pk]
    if row.lasts == Lasts.LEG:
        below = [r for r in below if r.lasts == Lasts.LEG]
    return laid(live(rig), by_rig(below).get(rig.pk, []))


def _differs(control: ControlAtShow, below: Snapshot) -> bool:
    known = below.get(str(control.about))
    return known is not None and str(known.get("setting", "")) != control.setting


def _leave_out_what_is_there(row: UnitAtShow, below: Snapshot) -> None:
    """Empty the fields whose value is there already, since they are no difference."""
    row.clean()
    known = below.get(str(row.unit_id), {})
    for name in ("tuning", "stage_position", "session"):
        if getattr(row, name) == str(known.get(name) or ""):
            setattr(row, name, "")
    if row.midi_channel == known.get("midi_channel"):
        row.midi_channel = None
    there = messages_to(below, str(row.unit_id))
    row.messages = {
        part: numbers
        for part, numbers in row.messages.items()
        if part in there and numbers != numbers_of(there[part])
    }
    strings = strings_of(below, str(row.unit_id))
    if strings and row.strings == str(below[strings].get("gauges") or ""):
        row.strings = ""
    if not edits_of(below, layer_of_radio(row)):
        row.radio = row.pack = ""


def layer_of_radio(row: UnitAtShow) -> Any:
    """The layer with nothing but the radio of a row."""
    alone = UnitAtShow(id=row.pk, unit=row.unit, radio=row.radio, pack=row.pack)
    return layer_of(alone)


@transaction.atomic
def as_documented(show: Show, unit: Unit, *, by: User, lasts: str = Lasts.LEG) -> None:
    """From `show` on, or at `show` alone, the unit is as documented again.

    What was said at this very show is taken back, for this show alone only what holds for it alone;
    what the leg has from an earlier show holds there as before, and ends or pauses here.
    """
    held = _lock(show)
    check_live(held, unit)
    said = UnitAtShow.objects.filter(show=held, unit=unit, withdrawn_at=None)
    for row in said.filter(lasts=Lasts.SHOW) if lasts == Lasts.SHOW else said:
        _withdraw(row, by, [Says.AS_DOCUMENTED.in_english()])
    left = counting(layer_of(row) for row in rows_at(held))
    if any(layer.unit == str(unit.pk) for layer in left):
        say(held, unit, by=by, what=What.DOCUMENTED, lasts=lasts)


@transaction.atomic
def as_of_leg(show: Show, unit: Unit, *, by: User) -> None:
    """Take back that the unit is as documented at `show`: what the leg has holds again."""
    held = _lock(show)
    check_live(held, unit)
    said = UnitAtShow.objects.filter(show=held, unit=unit, withdrawn_at=None, what=What.DOCUMENTED)
    rows = list(said)
    if not rows:
        raise ValidationError(TAKEN_BACK)
    for row in rows:
        _withdraw(row, by, [Says.AS_OF_LEG.in_english()])


def _withdraw(row: UnitAtShow, by: User, words: list[str]) -> None:
    row.withdrawn_at = written().at
    row.version += 1
    row.save(update_fields=["withdrawn_at", "version"])
    _note(row, by, words)


@transaction.atomic
def how_it_did(row: UnitAtShow, *, by: User, fared: str, words: str) -> UnitAtShow:
    """Put down how what came in place of a unit did. It may be said after the show, and again."""
    # Only this row: what is joined may be missing, and PostgreSQL locks no such side.
    row = UnitAtShow.objects.select_for_update(of=("self",)).get(pk=row.pk)
    row.fared, row.fared_words = fared, words.strip()
    if row.what != What.REPLACED:
        raise ValidationError(_("Only what came in place of a unit can be judged."))
    if not fared:
        raise ValidationError({"fared": _("Say whether it did well.")})
    row.version += 1
    row.full_clean()
    row.save(update_fields=["fared", "fared_words", "version"])
    with as_stored():
        said = _fared(row)
    _note(row, by, [said])
    return row


def next_show(show: Show) -> Show | None:
    """The show after `show`, of the same leg."""
    later = show.leg.shows.filter(retired_at=None, held_on__gte=show.held_on).exclude(pk=show.pk)
    return later.select_related("leg").order_by("held_on", "room", "pk").first()


def to_carry(show: Show, to: Show) -> tuple[list[UnitAtShow], list[UnitAtShow]]:
    """What holds at `show` alone and would be carried over, and what would not because something is
    said of the unit at `to` already. Three queries."""
    own = [row for row in rows_at(show) if row.show_id == show.pk and row.lasts == Lasts.SHOW]
    said = set(
        UnitAtShow.objects.filter(show=to, withdrawn_at=None, lasts=Lasts.SHOW).values_list(
            "unit", flat=True
        )
    )
    return [r for r in own if r.unit_id not in said], [r for r in own if r.unit_id in said]


@transaction.atomic
def carry(show: Show, to: Show, *, by: User) -> list[UnitAtShow]:
    """Say of `to` what holds at `show` alone. Returns the new rows. One transaction."""
    held = _lock(to)
    if held.is_retired:
        raise ValidationError(RETIRED_SHOW)
    rows, _ = to_carry(show, held)
    made = []
    for row in rows:
        values = {name: getattr(row, name) for name in VALUES}
        scales = row.controls.all()
        dials = [
            Dial(about=str(c.about) if c.about else None, **{n: getattr(c, n) for n in SCALE})
            for c in scales
        ]
        copy = say(held, row.unit, by=by, what=row.what, dials=dials, **values)
        made += [copy] if copy is not None else []
    return made


@transaction.atomic
def make_permanent(row: UnitAtShow, *, by: User, base: int, reason: Reason) -> Revision | None:
    """Record what `row` says as a change of the rig, with its reason; None if the rig has it.

    The row holds no more then: it is documented. `base` is the number of the rig's change that the
    page showed. Raises Conflict, ReasonRequired, ValidationError. Who may is Action.EDIT_RIG.
    """
    _lock(row.show)
    row = UnitAtShow.objects.select_related("unit__rig", "show__leg").get(pk=row.pk)
    check_live(row.show, row.unit)
    if not row.holds or row.what == What.DOCUMENTED:
        raise ValidationError(TAKEN_BACK)
    if reason.kind == ReasonKind.NONE or not reason.words.strip():
        raise ValidationError(_("Say why it is to stay."))
    rig = row.unit.rig
    edits = edits_of(live(rig), layer_of(row))
    revision = record(rig, edits, author=by, base=base, reason=reason)
    row.permanent, row.withdrawn_at, row.version = revision, clock.now(), row.version + 1
    row.save(update_fields=["permanent", "withdrawn_at", "version"])
    number = revision.number if revision else rig.head_number
    _note(row, by, [Says.PERMANENT.in_english(number=number)])
    return revision


def check_live(show: Show, unit: Unit) -> None:
    """Raise ValidationError where the show or the unit is retired."""
    if show.is_retired:
        raise ValidationError(RETIRED_SHOW)
    if unit.retired or unit.rig.retired:
        raise ValidationError(RETIRED_UNIT)


def _lock(show: Show) -> Show:
    """The show, locked until the transaction ends, so that two people on it take turns."""
    return Show.objects.select_for_update(of=("self",)).select_related("leg").get(pk=show.pk)


def _note(row: UnitAtShow, by: User, words: list[str]) -> None:
    UnitAtShowChange(row=row, words=words).put_down(by)


def in_words(row: UnitAtShow) -> list[str]:
    """What a row says, a phrase each: “another unit: Brack Four”. One query where it has controls
    that were not read."""
    told = []
    if row.what == What.REPLACED:
        said = Says.CAME_FROM if row.from_whom else Says.CAME
        told.append(said.said(make=row.make, whom=row.from_whom))
    elif row.what == What.DOCUMENTED:
        told.append(Says.DOCUMENTED.said())
    told += [
        f"{c.name} {c.setting}" if c.setting else Says.NOT_SET.said(name=c.name)
        for c in row.controls.all()
    ]
    said_of = (
        (Says.TUNED, row.tuning),
        (Says.STRINGS, row.strings),
        (Says.PLACE, row.stage_position),
        (Says.RADIO, row.radio),
        (Says.PACK, row.pack),
        (Says.SESSION, row.session),
        (Says.MIDI_CHANNEL, row.midi_channel),
    )
    told += [said.said(value=value) for said, value in said_of if value]
    told += _messages_in_words(row)
    told += [row.get_lasts_display()]
    why = ", ".join(filter(None, [row.get_why_display() if row.why else "", row.words]))
    return [*told, *([Says.BECAUSE.said(why=why)] if why else [])]


def _messages_in_words(row: UnitAtShow) -> list[str]:
    """“MIDI in “Tide”: channel 3, program 12”. One query where there are any."""
    songs: dict[str, str] = {}
    if row.messages:
        settings = SongSetting.objects.filter(pk__in=row.messages)
        songs = {str(pk): name for pk, name in settings.values_list("pk", "song__title")}
    unit = {"midi_channel": row.midi_channel, "programs_from": row.unit.programs_from}
    return [
        Says.MIDI.said(
            song=songs.get(part, _("a song")),
            message=_(NOT_SENT) if numbers is None else message_text(numbers, unit),
        )
        for part, numbers in row.messages.items()
    ]


def _fared(row: UnitAtShow) -> str:
    did_well = row.fared == UnitAtShow.Fared.OK
    if row.fared_words:
        said = Says.DID_WELL_WORDS if did_well else Says.DID_NOT_WORDS
        return said.said(make=row.make, words=row.fared_words)
    return (Says.DID_WELL if did_well else Says.DID_NOT).said(make=row.make)
