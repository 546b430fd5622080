"""The question of other air, or of another distance to the mix position.

The functions before the form are pure: quantities in SI go in, a WhatIfAnswer comes out.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import Case, Q, When
from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core import clock
from core.languages.words import number as written
from core.models import Production, Show
from rigs.cautions import Caution
from rigs.checks.bench import Bench
from rigs.checks.figures import listed
from rigs.whatif.air import (
    COLDEST,
    HOTTEST,
    LEFT_OUT,
    STANDARD_KPA,
    Room,
    band_label,
    changes,
    in_words,
    rehearsal_room,
    room_of,
)
from rigs.whatif.answers import NOW_THEN, Subject, Table, WhatIfAnswer, air_plot, number
from rigs.whatif.forms import QuestionInAir, as_typed, length_field, number_field, temperature_field
from rigs.whatif.topic import Topic


def caution() -> Caution:
    return Caution(
        _("Hearing"),
        _(
            "Making up for the air with more top end makes it louder for those who "
            "sit near the loudspeakers. Local law on sound levels comes first."
        ),
        "ear",
    )


def answer(now: Room, then: Room) -> WhatIfAnswer:
    """The delay and the loss by band; `then` is whole, `now` may lack what nobody measured.

    Raises ValueError where the losses of `then` cannot be worked out.
    """
    if then.losses is None:
        raise ValueError(then.beyond or _("Temperature, humidity and distance are needed."))
    difference = changes(now, then)
    problems = (
        [_("{room}: {missing} not measured.").format(room=now.name, missing=listed(now.missing))]
        if now.missing
        else []
    )
    return WhatIfAnswer(
        in_words(difference, now.name) if difference else "",
        (Table(_("Delay, and what the air takes"), NOW_THEN, _rows(now, then)),),
        (*problems, *([now.beyond] if now.beyond else [])),
        (str(LEFT_OUT), *([then.assumes] if then.assumes else [])),
        _plot(now, then, then.losses),
        None,
        caution(),
    )


def _rows(now: Room, then: Room) -> tuple[tuple[str, ...], ...]:
    delays = (
        _("not known") if room.delay is None else number(room.delay * 1000, "ms")
        for room in (now, then)
    )
    bands = (
        (
            band_label(band),
            *(
                _("not known") if room.losses is None else number(-room.losses[band], "dB")
                for room in (now, then)
            ),
        )
        for band in then.losses or {}
    )
    return ((pgettext("of sound", "Delay"), *delays), *bands)


def _plot(now: Room, then: Room, losses: dict[str, float]) -> str:
    drawn = {then.name: losses} | (
        {_("now: {room}").format(room=now.name): now.losses} if now.losses else {}
    )
    described = listed(
        [f"{band_label(band)} {number(-loss, 'dB')}" for band, loss in losses.items()]
    )
    return air_plot(
        drawn,
        title=_("What the air takes from each octave band"),
        desc=_("Then: {levels}.").format(levels=described),
    )


REHEARSAL = "rehearsal"
MOST_SHOWS = 12


class AirQuestion(QuestionInAir):
    celsius = temperature_field(COLDEST, HOTTEST)
    humidity = number_field(gettext_lazy("relative humidity, %"), 0, 100)
    kilopascals = number_field(
        gettext_lazy("air pressure, kPa"),
        50,
        110,
        required=False,
        help_text=format_lazy(
            gettext_lazy("At the place itself. Left empty: {pressure} kPa."),
            pressure=lazy(written, str)(STANDARD_KPA),
        ),
    )
    distance = length_field(
        Show, "mix_distance_m", gettext_lazy("loudspeakers to the mix position")
    )


class AirTopic(Topic):
    """The question about air; `rooms` are by the id of their show, or by REHEARSAL."""

    key, label, icon = "air", gettext_lazy("Air at the mix"), "wind"
    nothing = gettext_lazy("Neither the rehearsal room nor a coming show is entered.")
    question = AirQuestion

    def __init__(self, rooms: dict[str, Room]) -> None:
        self.rooms = rooms

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(key, room.name) for key, room in self.rooms.items()]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        room = self.rooms[subject]
        values = {
            "celsius": room.celsius,
            "humidity": room.humidity,
            "kilopascals": room.kilopascals,
        }
        shown = {name: "" if value is None else f"{value:g}" for name, value in values.items()}
        return shown | {"distance": "" if room.metres is None else f"{room.metres:g} m"}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        distance = typed["distance"]
        then = Room(
            _("then: {distance}").format(distance=as_typed(distance)),
            typed["celsius"],
            typed["humidity"],
            typed["kilopascals"],
            float(distance.metres),
        )
        return answer(self.rooms[subject], then)


def rooms(production: Production, asked: str) -> dict[str, Room]:
    """The rehearsal room, the shows to come, and the one asked about. Two queries."""
    reference = rehearsal_room(production)
    rooms = {REHEARSAL: reference} if reference else {}
    # A show that is over is read only where the address names it, as an old link does.
    upcoming = Q(held_on__gte=clock.now().date(), retired_at=None, leg__retired_at=None)
    is_asked = Q(pk=_uuid(asked))
    shows = Show.objects.filter(upcoming | is_asked, leg__production=production)
    # The show asked about first, or the limit would leave out one that is far off.
    chosen = shows.order_by(Case(When(is_asked, then=0), default=1), "held_on", "room")
    for show in sorted(chosen[:MOST_SHOWS], key=lambda show: (show.held_on, show.room)):
        rooms[str(show.pk)] = room_of(show, dated=True)
    return rooms


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        return UUID(int=0)  # the id of no show
