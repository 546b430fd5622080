"""What was recorded, and what it is evidence of: one take through four microphones, heard blind; a
DI measured against its microphone, before and after a change, a signature's sound, and a night on
which it does not sound like that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from notes.blind.services import answer, begin, close, open_blind
from notes.captures.measure import measure
from notes.captures.store import save_pair
from notes.causes.signed import against_signed
from notes.causes.taken_up import say_outcome, take_up
from notes.clips.services import upload_clip
from notes.comparing.evidence import tie_to_alternative, tie_to_change
from notes.demo.apply import apply, fresh, input_of
from notes.demo.cast import ENGINEER, MONITORS, TECH
from notes.demo.sounds import BASS, GUITAR, LOW_WATER, REED, SAXOPHONE, SOLO, WEIR, wave
from notes.demo.sounds import Instrument as Played
from notes.demo.sounds import Line as Phrase
from notes.demo.stage import DemoStage
from notes.demo.story import Settled, at
from notes.models import Alternative, BlindSitting, ListeningSession, NamedCause, Trial


@dataclass(frozen=True)
class Recorded:
    """A clip. `sound` is who plays which phrase in which take; `through` names the microphone."""

    when: datetime
    key: str
    rig: str
    input: str
    title: str
    sound: tuple[Played, Phrase, int]
    through: str
    take: str
    song: str
    section: str = ""
    note: str = ""
    session: str = ""
    words: str = ""


@dataclass(frozen=True)
class TiedToChange:
    when: datetime
    change: str
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True)
class TriedAs:
    """The clip is of the alternative that uses `device`, in the trial of this question."""

    when: datetime
    clip: str
    question: str
    device: str


_BODY, _STING = "Body without the clank?", "Pick without the sting?"
_LOW, _SOLO = (BASS, LOW_WATER, 4), (GUITAR, SOLO, 5)
_TAKE_4 = {
    "song": "Alder Ebb",
    "section": "intro",
    "session": "Playback to the players",
    "take": "Take 4, 0:00 to 0:07",
}
_TAKE_5 = {"song": "Gravel and Lamplight", "section": "solo", "take": "Take 5, 2:10 to 2:16"}
_WEIR = {"song": "What the Weir Said", "section": "chorus", "session": "Winter rehearsal"}


@dataclass(frozen=True)
class HeardBlind:
    """Two clips of the trial of this question, heard blind and put on record. `right`: of ten
    rounds, by who listened, with how often each liked the first clip better."""

    when: datetime
    question: str
    clips: tuple[str, str]
    right: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class MeasuredPair:
    """Two clips of one source, measured against each other, and the measurement kept."""

    when: datetime
    first: str
    second: str


@dataclass(frozen=True)
class TookUp:
    """A cause (key of notes.causes.kinds) of why the clip does not sound like what was signed, taken
    up; `note` lets later events name the note that it became."""

    when: datetime
    clip: str
    cause: str
    note: str


@dataclass(frozen=True)
class TurnedOut:
    """How the cause turned out that was taken up for the clip."""

    when: datetime
    clip: str
    outcome: str
    words: str


EVENTS: tuple[
    Recorded | TiedToChange | TriedAs | HeardBlind | MeasuredPair | TookUp | TurnedOut | Settled,
    ...,
] = (
    Recorded(at(9, 3, 11, 30), "hollow", "Bass main", "Bass mic", "Hollow 2 at the cone edge",
             _LOW, "edge of the cone", note="clank", **_TAKE_4),
    Recorded(at(9, 3, 12, 50), "eskvane", "Bass main", "Bass mic", "Eskvane 4, 20 cm",
             _LOW, "ribbon", words="The take played back through the amp.", **_TAKE_4),
    Recorded(at(9, 3, 12, 51), "eskvane-5", "Bass main", "Bass mic", "Eskvane 4, 20 cm, played again",
             (BASS, LOW_WATER, 5), "ribbon", **_TAKE_4 | {"take": "Take 5, 0:00 to 0:07"}),
    Recorded(at(9, 3, 12, 51), "eskvane-6", "Bass main", "Bass mic", "Eskvane 4, 20 cm, once more",
             (BASS, LOW_WATER, 6), "ribbon", **_TAKE_4 | {"take": "Take 6, 0:00 to 0:07"}),
    Recorded(at(9, 3, 12, 52), "bollard", "Bass main", "Bass mic", "Bollard on the dust cap",
             _LOW, "big and hollow", words="The take played back through the amp.", **_TAKE_4),
    Recorded(at(9, 3, 12, 55), "selvage", "Bass main", "Bass mic", "Selvage C, 30 cm",
             _LOW, "far condenser", words="The take played back through the amp.", **_TAKE_4),
    Recorded(at(9, 3, 12, 57), "eskvane-nearer", "Bass main", "Bass mic", "Eskvane 4, 18 cm",
             _LOW, "ribbon, a little nearer", words="Is a finger's width heard?", **_TAKE_4),
    TriedAs(at(9, 3, 13, 1), "eskvane", _BODY, "Eskvane 4"),
    TriedAs(at(9, 3, 13, 1), "eskvane-5", _BODY, "Eskvane 4"),
    TriedAs(at(9, 3, 13, 1), "eskvane-6", _BODY, "Eskvane 4"),
    TriedAs(at(9, 3, 13, 1), "bollard", _BODY, "Bollard"),
    TriedAs(at(9, 3, 13, 1), "selvage", _BODY, "Selvage C"),
    HeardBlind(at(9, 3, 13, 20), _BODY, ("eskvane", "bollard"),
               ((ENGINEER, 10, 8), (TECH, 9, 7), (MONITORS, 9, 6))),
    HeardBlind(at(9, 3, 13, 40), _BODY, ("eskvane", "eskvane-nearer"),
               ((ENGINEER, 6, 3), (TECH, 4, 2))),
    TiedToChange(at(9, 3, 13, 2), "bass-ribbon", ("hollow",), ("eskvane",)),
    Recorded(at(9, 7, 14, 50), "carnothe", "Stage-right guitar", "Stage-right guitar edge", "Carnothe, 8 cm",
             _SOLO, "moving coil", **_TAKE_5),
    Recorded(at(9, 7, 14, 55), "thimble", "Stage-right guitar", "Stage-right guitar edge",
             "Thimble, moved back to 30 cm", _SOLO, "small condenser, back", **_TAKE_5),
    TriedAs(at(9, 7, 15, 1), "carnothe", _STING, "Carnothe"),
    TriedAs(at(9, 7, 15, 1), "thimble", _STING, "Thimble"),
    Recorded(at(10, 10, 18, 10), "bell", "Tenor saxophone", "Tenor sax", "Inside the bell",
             (SAXOPHONE, REED, 2), "inside the bell", note="bell", song="Ninety Lamps",
             section="chorus", take="Soundcheck, second time"),
    Recorded(at(11, 18, 11, 10), "weir-di", "Bass main", "Bass DI", "DI, low D",
             (BASS, WEIR, 1), "direct", note="low", take="Take 1, chorus", **_WEIR),
    Recorded(at(11, 18, 11, 11), "weir-mic", "Bass main", "Bass mic", "Ribbon at 20 cm, low D",
             (BASS, WEIR, 1), "ribbon, upside down", note="low", take="Take 1, chorus", **_WEIR),
    Recorded(at(11, 18, 12, 29), "weir-di-again", "Bass main", "Bass DI", "DI, low D again",
             (BASS, WEIR, 2), "direct", take="Take 2, chorus", **_WEIR),
    Recorded(at(11, 18, 12, 30), "weir-near", "Bass main", "Bass mic", "Ribbon at 12 cm, low D",
             (BASS, WEIR, 2), "ribbon, nearer", take="Take 2, chorus", **_WEIR),
    TiedToChange(at(11, 18, 12, 31), "bass-closer", ("weir-mic",), ("weir-near",)),
    MeasuredPair(at(11, 18, 12, 40), "weir-di-again", "weir-near"),
    Recorded(at(11, 24, 18, 5), "thin", "Bass main", "Bass mic", "Tonight, thin",
             (BASS, LOW_WATER, 7), "ribbon, nearer, high-pass left in",
             words="Where has the bottom gone?", take="Last run", song="Alder Ebb",
             section="intro"),
    TookUp(at(11, 24, 18, 20), "thin", "high_pass", "thin"),
    TurnedOut(at(11, 24, 18, 40), "thin", "was",
              "The high-pass of the channel was in at 200 Hz, left from the other band. Out again."),
    Settled(at(11, 24, 18, 41), "thin", "The high-pass is out again. Nothing to change on the rig."),
)  # fmt: skip


@apply.register
def _(event: Recorded, stage: DemoStage) -> None:
    song = stage.songs[event.song]
    stage.clips[event.key] = upload_clip(
        data=wave(*event.sound, event.through),
        name=f"{event.title}.wav",
        by=stage.people[ENGINEER],
        rig=fresh(stage, event.rig),
        input=input_of(stage, event.rig, event.input),
        title=event.title,
        words=event.words,
        take=event.take,
        song=song,
        recorded_at=event.when,
        section=song.sections.get(name=event.section) if event.section else None,
        note=stage.notes.get(event.note),
        session=ListeningSession.objects.filter(
            production=stage.production, name=event.session
        ).first(),
    )


@apply.register
def _(event: TiedToChange, stage: DemoStage) -> None:
    for side, keys in (("before", event.before), ("after", event.after)):
        for key in keys:
            tie_to_change(
                revision=stage.changes[event.change],
                clip=stage.clips[key],
                side=side,
                by=stage.people[ENGINEER],
            )


@apply.register
def _(event: TriedAs, stage: DemoStage) -> None:
    alternative = Alternative.objects.select_related("trial").get(
        trial__production=stage.production,
        trial__question=event.question,
        device__name=event.device,
    )
    tie_to_alternative(
        alternative=alternative, clip=stage.clips[event.clip], by=stage.people[ENGINEER]
    )


@apply.register
def _(event: HeardBlind, stage: DemoStage) -> None:
    trial = Trial.objects.get(production=stage.production, question=event.question)
    one, other = (stage.clips[key] for key in event.clips)
    by = stage.people[ENGINEER]
    blind = open_blind(
        trial=trial, clip_a=one, clip_b=other, rounds=10, listeners=len(event.right), by=by
    )
    for name, right, liked in event.right:
        _listen(begin(blind=blind, by=stage.people[name]), right, liked)
    close(blind=blind, by=by)


def _listen(sitting: BlindSitting, right: int, liked: int) -> None:
    """Give ten answers, the wrong ones first, as of somebody whose ears get used to it."""
    for number, drawn in enumerate(sitting.drawn, 1):
        other = "second" if drawn.x == "first" else "first"
        first_clip, second_clip = ("first", "second") if drawn.first == "a" else ("second", "first")
        answer(
            sitting=sitting,
            number=number,
            x=drawn.x if number > 10 - right else other,
            prefers=first_clip if number <= liked else second_clip if number == 10 else "",
        )


@apply.register
def _(event: MeasuredPair, stage: DemoStage) -> None:
    first, second = (stage.clips[key] for key in (event.first, event.second))
    save_pair(measure(first, second), by=stage.people[ENGINEER])


@apply.register
def _(event: TookUp, stage: DemoStage) -> None:
    tonight = against_signed(stage.clips[event.clip])
    named = take_up(tonight, event.cause, by=stage.people[ENGINEER])
    stage.notes[event.note] = named.note


@apply.register
def _(event: TurnedOut, stage: DemoStage) -> None:
    named = NamedCause.objects.get(clip=stage.clips[event.clip])
    say_outcome(named, event.outcome, event.words, by=stage.people[ENGINEER])
