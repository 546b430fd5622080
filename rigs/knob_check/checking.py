"""Compare photos of now with photos that have circles, and keep what was read. Changes no rig."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from core.languages.marked import gettext_noop
from core.models import Show, User
from core.uploads import apart
from rigs.knob_check.doubt import Reason
from rigs.knob_check.laying import read_and_lay
from rigs.knob_check.marks import Round, circle_of, places_of
from rigs.knob_check.reading import Cap, Reading, UnreadablePicture
from rigs.knob_check.references import Circled, Reference
from rigs.knob_check.sliding import Slot, SlotReading, Switch, SwitchReading
from rigs.models import PanelCheck, Photo, Pin
from rigs.photos.prepare import Prepared
from rigs.photos.storage import open_file, store
from rigs.settings_of_controls import SWEEP_DEG, positions_of

NO_NAMES = gettext_noop("its positions on the first photo have no names")
# A fader's way counts as the sweep of a dial, so that one rule tells how far off it is.
WAY_DEG = SWEEP_DEG


class CannotCheck(ValueError):
    """The photos were not compared; the message says why, in words fit for a form."""


def compare(reference: Reference, picture: Prepared) -> dict[str, Any]:
    """What `picture` shows of each mark of `reference`: the columns of a PanelCheck. Writes
    nothing. Raises CannotCheck, StoredFileUnreadable."""
    image = reference.photo.image
    marks = Marks.of(reference.marks, image.height / image.width)
    file, _kind = open_file(image)
    with file:
        before = file.read()
    try:
        checked = apart.run(
            read_and_lay,
            before,
            picture.full,
            [
                Cap(*marks.circles[each.pin.pk], float(each.pin.cap_inner or 0))
                for each in marks.knobs
            ],
            [_slot(each.pin) for each in marks.faders],
            [Switch(_spots(each.pin), _shown_at(each) or 0) for each in marks.switches],
            [Cap(*marks.circles[each.pin.pk]) for each in (*marks.faders, *marks.switches)],
            seconds=settings.KNOB_CHECK_SECONDS,
        )
    except apart.TookTooLong:
        raise CannotCheck(_("This took too long. Try a photo of the panel alone.")) from None
    except (apart.Died, UnreadablePicture):
        raise CannotCheck(_("The picture could not be read. Take it again.")) from None
    told = [
        *(_turned(reading) for reading in checked.panel.turns),
        *(_moved(reading) for reading in checked.panel.slots),
        *(
            _switched(reading, each)
            for reading, each in zip(checked.panel.switches, marks.switches, strict=True)
        ),
    ]
    other_panel = told and all(each["reason"] == Reason.OTHER_PANEL for each in told)
    if other_panel or not checked.plane:
        raise CannotCheck(
            _(
                "This is not the panel of “{photo}”, or it cannot be laid over it: take it nearer, "
                "from the front, in even light."
            ).format(photo=reference.photo)
        )
    every = (*marks.knobs, *marks.faders, *marks.switches)
    return {
        "readings": [
            {**_about(each), **reading, "circle": _rounded(each, marks), "seen": list(seen)}
            for each, reading, seen in zip(every, told, checked.seen, strict=True)
        ],
        "plane": list(checked.plane),
    }


@dataclass(frozen=True)
class Marks:
    """The marks of a reference by kind, in the order in which they are read; `circles` are about
    each of them, by the pin."""

    knobs: list[Circled]
    faders: list[Circled]
    switches: list[Circled]
    circles: dict[UUID, Round]

    @classmethod
    def of(cls, marks: Sequence[Circled], aspect: float) -> Marks:
        return cls(
            [each for each in marks if each.pin.cap_radius],
            [each for each in marks if not each.pin.cap_radius and each.pin.slot_x is not None],
            [each for each in marks if not each.pin.cap_radius and each.pin.slot_x is None],
            {each.pin.pk: circle_of(each.pin, aspect) for each in marks},
        )


def _slot(pin: Pin) -> Slot:
    return Slot(*(float(part) for place in places_of(pin) for part in place))


def _spots(pin: Pin) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in places_of(pin))


def _shown_at(each: Circled) -> int | None:
    """Which of its positions the first photo shows, from 0; None where that has no name."""
    names = positions_of(each.control.choices)
    shown = each.pin.cap_setting
    known = shown in names and len(names) == len(places_of(each.pin))
    return names.index(shown) if known else None


def _turned(reading: Reading) -> dict[str, Any]:
    turn = None if reading.turn is None else round(reading.turn, 1)
    return {"kind": "knob", "turn": turn, "reason": str(reading.reason or "")}


def _moved(reading: SlotReading) -> dict[str, Any]:
    told = reading.now is not None and reading.before is not None
    way = (reading.now or 0.0) - (reading.before or 0.0)
    turn = round(way * WAY_DEG, 1) if told else None
    return {"kind": "fader", "turn": turn, "reason": str(reading.reason or "")}


def _switched(reading: SwitchReading, each: Circled) -> dict[str, Any]:
    names = positions_of(each.control.choices)
    told = {"kind": "switch", "turn": None, "stands": "", "reason": str(reading.reason or "")}
    if _shown_at(each) is None:
        return {**told, "reason": NO_NAMES}
    if reading.position is not None:
        told["stands"] = names[reading.position]
    return told


def _about(each: Circled) -> dict[str, Any]:
    return {
        "pin": str(each.pin.pk),
        "control": str(each.control.pk),
        "name": f"{each.control} of {each.control.unit}",
        "shown": each.pin.cap_setting,
        "travel": [each.pin.travel_from, each.pin.travel_to],
    }


def _rounded(each: Circled, marks: Marks) -> list[float]:
    return [round(part, 5) for part in marks.circles[each.pin.pk]]


@transaction.atomic
def keep(
    photo: Photo, picture: Prepared, found: Mapping[str, Any], *, by: User, show: Show | None
) -> PanelCheck:
    """Keep the photo and what was read on it, by `compare`. The same photo compared with the same
    one again is the check that is there."""
    image = store(picture, production=photo.rig.production, taken_by=by)
    fresh = PanelCheck(before_id=photo.image_id, show=show, by=by, by_name=by.name, **found)
    fresh.stamp("at")
    columns = (
        *("before_id", "show", "by", "by_name", "readings", "plane"),
        *("at", "page_at", "arrived_at", "device_said"),
    )
    check, _created = PanelCheck.objects.get_or_create(
        reference=photo, image=image, defaults={name: getattr(fresh, name) for name in columns}
    )
    return check
