"""What three of the nine hear on stage, who signed it, and what they wish at the next show."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from uuid import uuid4

from notes.demo.apply import apply
from notes.demo.cast import BASS_PLAYER, MONITORS, TECH
from notes.demo.stage import DemoStage
from notes.demo.story import IVO, MAUD, NOOR, at
from notes.models import MonitorMix
from notes.monitors.refs import Known
from notes.monitors.services import change, create, state_at
from notes.monitors.signing import sign
from notes.monitors.state import AS_LOUD, ENOUGH, LESS, MORE, NONE, MixState, Want
from notes.monitors.wishes import mark, wish


@dataclass(frozen=True)
class MixWritten:
    """A mix of a player. A want: how much, of what as it is typed, in their words, as loud as."""

    when: datetime
    name: str
    player: str
    kind: str
    wants: tuple[tuple[str, ...], ...]
    output: str = ""
    eq: str = ""
    limiter: str = ""


@dataclass(frozen=True)
class MixSaid:
    """What the player of a mix says of it as it is."""

    when: datetime
    name: str
    decision: str
    words: str


@dataclass(frozen=True)
class MixChanged:
    when: datetime
    name: str
    eq: str


@dataclass(frozen=True)
class Wished:
    when: datetime
    room: str
    name: str
    words: str
    by: str
    done: bool = False


Event = MixWritten | MixSaid | MixChanged | Wished
EVENTS: tuple[Event, ...] = (
    MixWritten(
        at(11, 20, 14),
        "Ears Noor",
        NOOR,
        "ear_stereo",
        (
            (MORE, "Noor", "On top of everything, and dry."),
            (AS_LOUD, "Thessa", "We breathe together.", "Noor"),
            (ENOUGH, "Kick in, Bass DI (Bass main)", "To feel the one."),
            (NONE, "Overhead drummer’s left, Overhead drummer’s right", ""),
        ),
        output="Bus 1 and 2, pack 1",
        limiter="In the pack, always on.",
    ),
    MixWritten(
        at(11, 20, 14, 20),
        "Wedge Ivo",
        IVO,
        "wedge",
        (
            (MORE, "Kick in, Snare top", "Drums first."),
            (ENOUGH, "Noor", ""),
            (LESS, "all of Bass main", "I have my own cabinet."),
        ),
        output="Bus 3",
        eq="2.5 kHz down, it bites.",
    ),
    MixWritten(
        at(11, 20, 14, 40),
        "Drum fill",
        MAUD,
        "drum_fill",
        (
            (MORE, "Bass mic", "The string, not the boom."),
            (MORE, "all of Organ and rotary", ""),
            (NONE, "all of Drum kit", "They are loud enough."),
        ),
        output="Bus 4",
        limiter="On.",
    ),
    MixSaid(at(11, 21, 12), "Ears Noor", "signed", ""),
    MixSaid(at(11, 21, 12, 10), "Wedge Ivo", "signed", "Like this, every night."),
    MixChanged(at(11, 24, 15), "Wedge Ivo", "2.5 kHz down, it bites. 160 Hz down for the hall."),
    Wished(at(11, 24, 18), "Civic Hall", "Ears Noor", "A little room, the hall is dead.", TECH),
    Wished(
        at(11, 24, 18, 10), "Civic Hall", "Wedge Ivo", "Kick up for the opener.", BASS_PLAYER, True
    ),
)


def _mix(stage: DemoStage, name: str) -> MonitorMix:
    found: MonitorMix = MonitorMix.objects.get(production=stage.production, name=name)
    return found


@apply.register
def _(event: MixWritten, stage: DemoStage) -> None:
    known = Known(stage.production.pk)
    wants = []
    for level, about, words, *like in event.wants:
        loud = known.read(like[0])[0] if like else ""
        wants.append(Want(str(uuid4()), level, known.read(about), loud, words))
    state = MixState(
        event.name,
        event.kind,
        str(stage.players[event.player].pk),
        output=event.output,
        eq=event.eq,
        limiter=event.limiter,
        wants=tuple(wants),
    )
    create(stage.production, state, by=stage.people[MONITORS])


@apply.register
def _(event: MixSaid, stage: DemoStage) -> None:
    mix = _mix(stage, event.name)
    sign(
        mix=mix,
        version=mix.version,
        decision=event.decision,
        words=event.words,
        player=mix.player,
    )


@apply.register
def _(event: MixChanged, stage: DemoStage) -> None:
    mix = _mix(stage, event.name)
    state = replace(state_at(mix, mix.version), eq=event.eq)
    change(mix, state, base=mix.version, by=stage.people[MONITORS])


@apply.register
def _(event: Wished, stage: DemoStage) -> None:
    mix, show = _mix(stage, event.name), stage.shows[event.room]
    made = wish(mix, show, event.words, by=stage.people[event.by])
    if event.done:
        mark(made, "done", by=stage.people[MONITORS], may_edit=True)
