"""What songs change on rigs, what records do, and how long everything takes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from core.durations import parse_duration
from core.models import Research
from notes.demo.apply import apply, fresh
from notes.demo.cast import BASS_PLAYER, DRUM_TECH, ENGINEER, TECH
from notes.demo.stage import DemoStage
from notes.demo.story import HESTIA, IVO, MAUD, NOOR, PIET, SANNA, at
from rigs.changes.edits import Add
from rigs.models import ChangeTimes, SongSetting
from rigs.models.songs import OFF, own_id
from rigs.revisions.record import record

What = SongSetting.What


@dataclass(frozen=True)
class Timed:
    """How long the crew took, by the watch, to change a guitar and a string."""

    when: datetime
    change: str
    string: str


@dataclass(frozen=True)
class Researched:
    """Research on one place of a record, for one player, or for everybody where none is named."""

    when: datetime
    song: str
    player: str
    start: str
    end: str
    does: str
    take: str
    release: str = ""
    by: str = ENGINEER


@dataclass(frozen=True)
class SongChanged:
    """What a song changes on a rig, in one go: (what, of which part, value); cues with their
    section and time. Of a scene the part is the unit, and the value its number there."""

    when: datetime
    rig: str
    song: str
    settings: tuple[tuple[str, str, str], ...] = ()
    cues: tuple[tuple[str, str, str], ...] = ()
    by: str = TECH
    # Scenes within the song: section, time, unit, number.
    scenes: tuple[tuple[str, str, str, str], ...] = ()
    # MIDI messages: to which unit, and their numbers.
    sent: tuple[tuple[str, dict[str, int]], ...] = ()


EVENTS: tuple[Timed | Researched | SongChanged, ...] = (
    Researched(
        at(9, 2, 9),
        "Alder Ebb",
        IVO,
        "0:00",
        "0:40",
        "Bass alone, close and dry. No fingers, no amplifier hiss; the low D lasts its whole bar.",
        "The bloom after the note, and the length of it. The dryness is theirs, not ours.",
    ),
    Researched(
        at(9, 2, 9, 10),
        "Alder Ebb",
        MAUD,
        "0:40",
        "1:10",
        "The kit comes in from far away, one pair of microphones and a room.",
        "One kit, not eight channels: overheads first, close ones only for weight.",
    ),
    Researched(
        at(9, 2, 9, 20),
        "Gravel and Lamplight",
        SANNA,
        "1:32",
        "1:58",
        "Two guitars hard left and right; hers is all wool, doubled.",
        "The width. The doubling is the record’s; on stage it is one amplifier and two microphones.",
    ),
    Researched(
        at(9, 2, 9, 25),
        "Gravel and Lamplight",
        PIET,
        "2:05",
        "2:30",
        "Solo in the middle, the pick louder than the note.",
        "Hear the pick from the mix position.",
        "Single, solo",
    ),
    Researched(
        at(9, 2, 9, 40),
        "Ninety Lamps",
        HESTIA,
        "2:48",
        "3:30",
        "The organ swells under the brass; the rotor takes about four seconds to come up.",
        "The slow breath of the rotor, from far enough away that it does not thump.",
    ),
    Researched(
        at(9, 2, 9, 50),
        "Ninety Lamps",
        NOOR,
        "0:12",
        "0:44",
        "Voice alone, very near; one can hear the mouth open.",
        "The nearness. No shine: the record has none above the breath.",
    ),
    Researched(
        at(9, 2, 10),
        "What the Weir Said",
        "",
        "4:40",
        "6:20",
        "All nine; nobody is loud, and nothing covers the voice.",
        "Room for each other. Whoever cannot hear the voice is too loud.",
    ),
    Timed(at(9, 8, 17), "0:30", "0:15"),
    SongChanged(
        at(9, 9, 9),
        "Stage-left guitar",
        "Ninety Lamps",
        (
            (What.TUNING, "Long-neck guitar", "A#1 G2 C3 F3 A3 D4"),
            (What.CONTROL, "Combo/Volume", "10:00"),
            (What.CONTROL, "Echo/On", "on"),
        ),
        (("bridge", "", "Echo mix up a little while the organ swells"),),
    ),
    SongChanged(
        at(9, 9, 9, 10),
        "Stage-right guitar",
        "Gravel and Lamplight",
        (
            (What.SCENE, "Foot controller", "1"),
            (What.CONTROL, "Drive/Level", "2:00"),
        ),
        (("solo", "2:05", "Drive pedal on; off again after the last bend"),),
        scenes=(("solo", "2:05", "Foot controller", "3"),),
    ),
    SongChanged(
        at(9, 9, 9, 15),
        "Stage-right guitar",
        "Paper Ferry",
        (
            (What.INSTRUMENT, "Short-neck guitar", ""),
            (What.SCENE, "Foot controller", "2"),
            (What.CONTROL, "Drive/On", "off"),
        ),
    ),
    SongChanged(
        at(9, 9, 9, 20),
        "Bass main",
        "Alder Ebb",
        ((What.CONTROL, "Squeeze pedal/Blend", "11:00"),),
        (("intro", "0:00", "Starts alone: fader up before the count"),),
        BASS_PLAYER,
    ),
    SongChanged(
        at(9, 9, 9, 30),
        "Organ and rotary",
        "Ninety Lamps",
        (
            (What.CONTROL, "Two-manual organ/Expression floor", "5"),
            (What.INPUT, "Electric piano", OFF),
        ),
        (("bridge", "2:48", "Rotor to fast, and hands off until it is up"),),
        DRUM_TECH,
    ),
    SongChanged(
        at(9, 9, 9, 40),
        "Second voice and percussion",
        "Alder Ebb",
        ((What.INPUT, "Percussion", OFF),),
        by=DRUM_TECH,
    ),
    SongChanged(
        at(9, 9, 9, 50),
        "Second voice and percussion",
        "Ninety Lamps",
        by=DRUM_TECH,
        sent=(
            ("Pads", {"program": 11}),
            ("Pads", {"controller": 7, "amount": 96}),
            ("Playback A", {"program": 3}),
        ),
    ),
)


@apply.register
def _(event: Timed, stage: DemoStage) -> None:
    ChangeTimes.objects.create(
        production=stage.production,
        change_s=parse_duration(event.change),
        string_s=parse_duration(event.string),
    )


@apply.register
def _(event: Researched, stage: DemoStage) -> None:
    Research.objects.create(
        song=stage.songs[event.song],
        player=stage.players.get(event.player),
        release=event.release,
        from_s=parse_duration(event.start),
        to_s=parse_duration(event.end),
        does=event.does,
        take=event.take,
        written_by=stage.people[event.by],
    )


@apply.register
def _(event: SongChanged, stage: DemoStage) -> None:
    rig = fresh(stage, event.rig)
    edits = [_difference(event, stage, *setting) for setting in event.settings]
    edits += [_pressed(event, stage, *scene) for scene in event.scenes]
    edits += [_sent(event, stage, n, *message) for n, message in enumerate(event.sent, start=1)]
    edits += [_cue(event, stage, n, *cue) for n, cue in enumerate(event.cues, start=1)]
    record(rig, edits, author=stage.people[event.by], base=rig.head_number)


def _difference(event: SongChanged, stage: DemoStage, what: str, of: str, value: str) -> Add:
    song, ids = stage.songs[event.song], stage.ids[event.rig]
    field = SongSetting.ABOUT[what]
    about = ids(field, of)
    part = own_id(stage.rigs[event.rig].pk, song.pk, what, UUID(about))
    return Add(
        str(part),
        SongSetting.KIND,
        {
            "song": str(song.pk),
            "what": what,
            field: about,
            **(
                {"scene": ids("scene", f"{of}/{value}")} if what == What.SCENE else {"value": value}
            ),
        },
    )


def _pressed(
    event: SongChanged, stage: DemoStage, section: str, moment: str, unit: str, number: str
) -> Add:
    song, ids = stage.songs[event.song], stage.ids[event.rig]
    fields = {
        "song": str(song.pk),
        "what": What.SCENE_CHANGE,
        "unit": ids("unit", unit),
        "scene": ids("scene", f"{unit}/{number}"),
        "section": str(song.sections.get(name=section).pk),
        "at_s": parse_duration(moment),
    }
    return Add(ids("scene_change", f"{event.song}/{moment}"), SongSetting.KIND, fields)


def _sent(
    event: SongChanged, stage: DemoStage, number: int, unit: str, numbers: dict[str, int]
) -> Add:
    song, ids = stage.songs[event.song], stage.ids[event.rig]
    fields = {
        "song": str(song.pk),
        "what": What.MIDI,
        "unit": ids("unit", unit),
        "position": number,
        **numbers,
    }
    return Add(ids("midi", f"{event.song}/{number}"), SongSetting.KIND, fields)


def _cue(
    event: SongChanged, stage: DemoStage, number: int, section: str, moment: str, words: str
) -> Add:
    song = stage.songs[event.song]
    part = stage.ids[event.rig]("cue", f"{event.song}/{number}")
    return Add(
        part,
        SongSetting.KIND,
        {
            "song": str(song.pk),
            "what": What.CUE,
            "value": words,
            "position": number,
            "section": str(song.sections.get(name=section).pk) if section else None,
            "at_s": parse_duration(moment) if moment else None,
        },
    )
