"""What happened, in order: several weeks of listening, trying, changing, signing and asking.

Each event names what it speaks of; notes.demo.apply plays them through the services that the pages
use, at their own moment.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeAlias
from zoneinfo import ZoneInfo

from notes.demo import cast
from notes.demo.cast import (
    BASS_PLAYER,
    DRUM_TECH,
    ENGINEER,
    FOR_A_NIGHT,
    MANAGER,
    MONITORS,
    NEW_ENGINEER,
    TECH,
)

ZONE = ZoneInfo("UTC")


def at(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=ZONE)


@dataclass(frozen=True)
class Heard:
    """A listening note. `key` lets later events name it."""

    when: datetime
    key: str
    rig: str
    inputs: tuple[str, ...]
    words: str
    said_by: str  # a musician's name, or anybody's
    reading: str
    verdict: str
    by: str = ENGINEER
    song: str = ""
    section: str = ""
    take: str = ""
    session: str = ""
    units: tuple[str, ...] = ()
    photos: tuple[tuple[str, str], ...] = ()  # scene and caption, each
    memo_hz: float = 0.0  # the pitch of the voice that said it into the phone


@dataclass(frozen=True)
class WrittenOut:
    """Words for the voice memo of a note."""

    when: datetime
    note: str
    words: str
    by: str = ENGINEER


@dataclass(frozen=True)
class Changed:
    """A change of an input (by name) or a control ("unit/control"), because of notes or a circumstance."""

    when: datetime
    rig: str
    what: str
    to: dict[str, str]
    because: tuple[str, ...] = ()
    circumstance: str = ""
    words: str = ""
    by: str = ENGINEER
    key: str = ""


@dataclass(frozen=True)
class Followed:
    """A follow-up note: how the change named `change` turned out."""

    when: datetime
    note: str
    change: str
    outcome: str
    words: str
    verdict: str = "keep"
    by: str = ENGINEER


@dataclass(frozen=True)
class Tried:
    """A trial: alternatives (device, placement, verdict, words), and the choice if there was one.

    What was set for the old device is decided on as proposed, but for `settings`.
    """

    when: datetime
    rig: str
    input: str
    question: str
    alternatives: tuple[tuple[str, dict[str, str], str, str], ...]
    because: tuple[str, ...] = ()
    chosen: str = ""  # a device's name; "keep" for what was there; empty: still open
    decision: str = ""
    song: str = ""
    key: str = ""
    settings: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Signed:
    when: datetime
    rig: str
    party: str
    by: str  # an e-mail, or a musician's name who signs by link
    decision: str = "signed"
    words: str = ""
    clip: str = ""  # what was heard and signed along


@dataclass(frozen=True)
class Settled:
    when: datetime
    note: str
    words: str
    by: str = ENGINEER


@dataclass(frozen=True)
class Session:
    when: datetime
    name: str
    place: str = ""
    show: str = ""  # a room


@dataclass(frozen=True)
class PlacedPin:
    """A place on a photo, in per cent from the left and the top; `kind` and `name` of what is
    there, a control's as “Valve head/Gain”."""

    x: str
    y: str
    kind: str = ""
    name: str = ""
    words: str = ""
    radius: str = ""  # of the circle over a knob's cap, in per cent of the width
    setting: str = ""  # of the knob on the photo


@dataclass(frozen=True)
class Pictured:
    """A photo of the rig, or of one of its units or inputs (`kind` and `name`), with its pins."""

    when: datetime
    rig: str
    scene: str
    caption: str
    kind: str = ""
    name: str = ""
    by: str = TECH
    pins: tuple[PlacedPin, ...] = ()
    view: str = ""  # a key of Photo.View


@dataclass(frozen=True)
class Renewed:
    """Something that wears was changed: a set of strings, a head."""

    when: datetime
    rig: str
    unit: str
    what: str
    by: str = TECH
    words: str = ""


@dataclass(frozen=True)
class HandoverSpec:
    when: datetime
    leg: str
    opening: str
    cautions: str
    people: str


@dataclass(frozen=True)
class Published:
    when: datetime
    leg: str
    by: str = ENGINEER


@dataclass(frozen=True)
class Read:
    when: datetime
    leg: str
    by: str
    players: tuple[str, ...] = field(default=())  # "" is the general part


@dataclass(frozen=True)
class Asked:
    when: datetime
    leg: str
    by: str
    words: str
    player: str = ""
    answer: str = ""
    answered_by: str = ENGINEER
    owed_by: str = ""  # an e-mail; empty: any engineer or tech


Event: TypeAlias = (
    "Heard | Changed | Followed | Tried | Signed | Settled | Session | Pictured | HandoverSpec"
    " | Published | Read | Asked | Renewed | WrittenOut"
)

MAUD, IVO, SANNA, PIET, HESTIA, OLU, WIM, NOOR, THESSA = (name for name, _ in cast.PLAYERS)
AUTUMN, WINTER = (leg[0] for leg in cast.LEGS)

EVENTS: tuple[Event, ...] = (
    Pictured(
        at(9, 3, 9), "Bass main", "head, brighter", "Before the playback", "unit", "Valve head"
    ),
    Pictured(
        at(9, 3, 9, 5),
        "Bass main",
        "cabinet, edge",
        "At the cone edge, before the playback",
        "input",
        "Bass mic",
    ),
    Session(at(9, 3, 10), "Playback to the players", "Rehearsal barn"),
    Heard(
        at(9, 3, 11, 20),
        "clank",
        "Bass main",
        ("Bass mic",),
        "That is my fingers. Where is the note? It should bloom.",
        IVO,
        "Hollow 2 at the cone edge picks up the fret noise around 2–3 kHz and has no body below 80.",
        "reject",
        song="Alder Ebb",
        section="intro",
        take="Take 4, 0:00 to 0:32",
        session="Playback to the players",
    ),
    Tried(
        at(9, 3, 13),
        "Bass main",
        "Bass mic",
        "Body without the clank?",
        (
            (
                "Eskvane 4",
                {"distance": "20 cm", "angle": "15", "aimed_at": "between dust cap and edge"},
                "chosen",
                "The bloom is there. Fingers gone. Ivo smiled.",
            ),
            (
                "Bollard",
                {"distance": "10 cm", "angle": "0", "aimed_at": "dust cap"},
                "rejected",
                "Big bottom, but a hole where the wood should be.",
            ),
            (
                "Selvage C",
                {"distance": "30 cm", "angle": "30", "aimed_at": "cone edge"},
                "rejected",
                "Lovely on its own; every cymbal in the barn came with it.",
            ),
        ),
        ("clank",),
        "Eskvane 4",
        "The ribbon keeps the wood and leaves the fingers. No filter needed.",
        "Alder Ebb",
        "bass-ribbon",
    ),
    Followed(
        at(9, 4, 12, 30),
        "clank",
        "bass-ribbon",
        "helped",
        "Same take, same fader: Ivo says that is the bass he hears at the amp.",
    ),
    Heard(
        at(9, 4, 14),
        "papery",
        "Drum kit",
        ("Snare top",),
        "Where is the paper? It sounds like a tin.",
        MAUD,
        "Too close to the rim: 35 mm gives all ring. Try further off and more across.",
        "adjust",
        song="Gravel and Lamplight",
        section="verse",
        take="Take 2",
        session="Playback to the players",
        photos=(("snare, at the rim", "35 mm from the rim, as heard"),),
    ),
    Changed(
        at(9, 4, 14, 30),
        "Drum kit",
        "Snare top",
        {"distance": "70 mm", "angle": "55"},
        ("papery",),
        words="Off the rim.",
        key="snare-off",
    ),
    Followed(
        at(9, 5, 11), "papery", "snare-off", "helped", "Paper is back; a little more hat, bearable."
    ),
    Heard(
        at(9, 5, 12),
        "woolly",
        "Stage-left guitar",
        ("Stage-left guitar centre", "Stage-left guitar edge"),
        "Yes. That is the door closing.",
        SANNA,
        "Both mics, ribbon 3 dB up. Leave it alone.",
        "keep",
        song="Gravel and Lamplight",
        section="chorus",
        take="Take 5",
    ),
    Heard(
        at(9, 5, 12, 40),
        "knife",
        "Stage-right guitar",
        ("Stage-right guitar edge",),
        "I cannot hear my pick at all from out there.",
        PIET,
        "The ribbon makes him a second Sanna. Something with an edge instead.",
        "reject",
        song="Gravel and Lamplight",
        section="solo",
        take="Take 5, 2:10 to 2:34",
    ),
    Changed(
        at(9, 5, 13, 10),
        "Stage-right guitar",
        "Stage-right guitar edge",
        {"device": "Thimble", "phantom": "yes", "distance": "10 cm"},
        ("knife",),
        words="A small condenser hears the pick. 48 V on for it, gain down by what it has more.",
        key="knife-1",
    ),
    Followed(
        at(9, 7, 11),
        "knife",
        "knife-1",
        "worse",
        "Pick yes, but brittle: hurts at the back of the barn.",
        "adjust",
    ),
    Tried(
        at(9, 7, 15),
        "Stage-right guitar",
        "Stage-right guitar edge",
        "Pick without the sting?",
        (
            (
                "Carnothe",
                {"distance": "8 cm", "angle": "20"},
                "chosen",
                "The pick speaks, nobody flinches.",
            ),
            (
                "Thimble",
                {"distance": "30 cm", "angle": "45"},
                "rejected",
                "Softer, but now it is all room.",
            ),
        ),
        (),
        "Carnothe",
        "A plain moving coil does it; 48 V is off again, and the gain up by what it lacks. Piet "
        "played the solo three times for fun.",
        "Gravel and Lamplight",
        "knife-2",
        {"gain_db": "37"},
    ),
    Changed(
        at(9, 8, 10), "Bass main", "Valve head/Treble", {"setting": "8:30"}, (), words="", by=TECH
    ),
    Changed(at(9, 8, 10, 2), "Bass main", "Squeeze pedal/Blend", {"setting": "2:00"}, (), by=TECH),
    Heard(
        at(9, 8, 16),
        "church",
        "Organ and rotary",
        ("Rotary top left", "Rotary top right"),
        "It leans, but never breathes.",
        HESTIA,
        "25 cm from the louvre hears each pass of the horn as a thump. Step back.",
        "adjust",
        song="Ninety Lamps",
        section="bridge",
        take="Take 1",
    ),
    Changed(
        at(9, 8, 16, 30),
        "Organ and rotary",
        "Rotary top left",
        {"distance": "55 cm"},
        ("church",),
        words="Both sides alike.",
        key="rotary-back",
    ),
    Changed(
        at(9, 8, 16, 31),
        "Organ and rotary",
        "Rotary top right",
        {"distance": "55 cm"},
        ("church",),
        words="Both sides alike.",
    ),
    Followed(at(9, 9, 11), "church", "rotary-back", "helped", "Breathes. The wood is in it too."),
    Pictured(
        at(9, 9, 17),
        "Bass main",
        "cabinet",
        "Ribbon between dust cap and edge",
        "input",
        "Bass mic",
        pins=(
            PlacedPin("63.2", "63", "input", "Bass mic"),
            PlacedPin("50", "51.7", words="dust cap: measure the angle from here"),
            PlacedPin("24", "20", "unit", "Cabinet 1 × 15"),
        ),
    ),
    Pictured(
        at(9, 9, 17, 5),
        "Bass main",
        "head",
        "As it stood when Ivo nodded",
        "unit",
        "Valve head",
        pins=(
            PlacedPin("23.4", "55.4", "control", "Valve head/Gain", radius="4.69", setting="1:30"),
            PlacedPin("36.6", "55.4", "control", "Valve head/Bass", radius="4.69", setting="2:00"),
            PlacedPin(
                "49.7", "55.4", "control", "Valve head/Middle", radius="4.69", setting="11:00"
            ),
            PlacedPin(
                "62.8",
                "55.4",
                "control",
                "Valve head/Treble",
                "a hair below the mark",
                "4.69",
                "8:30",
            ),
            PlacedPin(
                "75.9", "55.4", "control", "Valve head/Master", radius="4.69", setting="2:30"
            ),
            PlacedPin("15", "38", words="the left corner is loose: carry it by the handle"),
        ),
    ),
    Pictured(
        at(9, 9, 18),
        "Drum kit",
        "kit",
        "The kit from the front, port to the right",
        by=DRUM_TECH,
        pins=(
            PlacedPin("63.5", "74", "input", "Kick out", "just outside the port"),
            PlacedPin("42", "64", "unit", "Kick"),
            PlacedPin("20.5", "55", "unit", "Snare"),
            PlacedPin("81", "58", "unit", "Floor tom"),
        ),
    ),
    Pictured(at(9, 9, 18, 10), "Stage-left guitar", "guitar left", "", view="overall"),
    Pictured(at(9, 9, 18, 12), "Stage-right guitar", "guitar right", "", view="overall"),
    # Nobody has said yet what it shows.
    Pictured(at(9, 9, 18, 13), "Stage-right guitar", "cabinet, edge", ""),
    Pictured(at(9, 9, 18, 15), "Bass fly rig", "bass to fly", "", view="overall"),
    Pictured(at(9, 9, 18, 20), "Organ and rotary", "organ", "Back panel off", view="overall"),
    Pictured(at(9, 9, 18, 25), "Trumpet", "trumpet", "", view="overall"),
    Pictured(at(9, 9, 18, 30), "Tenor saxophone", "saxophone from above", "", view="overall"),
    Pictured(at(9, 9, 18, 35), "Lead voice", "voice", "", view="overall"),
    Pictured(at(9, 9, 18, 40), "Second voice and percussion", "percussion", "", view="overall"),
    Signed(
        at(9, 10, 15),
        "Drum kit",
        "player",
        MAUD,
        words="Cymbals dark, please.",
    ),
    Signed(
        at(9, 10, 15, 5),
        "Bass main",
        "player",
        BASS_PLAYER,
        words="That is my bass.",
        clip="eskvane",
    ),
    Signed(at(9, 10, 15, 20), "Bass main", "tech", TECH),
    Signed(at(9, 10, 15, 30), "Bass main", "engineer", ENGINEER),
    Signed(at(9, 10, 15, 40), "Stage-left guitar", "player", SANNA, words="The door closes."),
    Signed(at(9, 10, 15, 50), "Stage-right guitar", "player", PIET, clip="carnothe"),
    Signed(at(9, 10, 16), "Organ and rotary", "player", HESTIA, words="Nearly cold enough."),
    Signed(at(9, 10, 16, 10), "Drum kit", "tech", DRUM_TECH),
    Signed(
        at(9, 10, 16, 15),
        "Tenor saxophone",
        "player",
        WIM,
        "withheld",
        "Still inside the bell.",
    ),
    Signed(at(9, 10, 16, 20), "Trumpet", "player", OLU),
    Signed(at(9, 10, 16, 30), "Lead voice", "player", NOOR, words="Not noticed."),
    HandoverSpec(
        at(9, 12, 9),
        AUTUMN,
        "Small rooms: mix what the amps leave missing.",
        "Rotary cabinet: moving rotors behind the open back. Isolate before reaching in.",
        "Greta Sollund, FOH. Bram Ottway, strings and bass. Yusra Kemp, drums and keys.",
    ),
    Published(at(9, 12, 10), AUTUMN),
    Read(
        at(9, 12, 19),
        AUTUMN,
        MONITORS,
        ("", MAUD, IVO, SANNA, PIET, HESTIA, OLU, WIM, NOOR, THESSA),
    ),
    Session(at(9, 18, 17), "Soundcheck", show="Osierdyke Hall"),
    Heard(
        at(9, 18, 17, 30),
        "chest",
        "Drum kit",
        ("Kick out",),
        "The kick is a click out there tonight.",
        MAUD,
        "Hard floor under the riser. Edge of the port is too near the beater line; go off axis.",
        "adjust",
        song="What the Weir Said",
        section="chorus",
        session="Soundcheck",
    ),
    Changed(
        at(9, 18, 18),
        "Drum kit",
        "Kick out",
        {"angle": "35", "distance": "11 cm"},
        ("chest",),
        words="Off the beater line.",
        key="kick-off-axis",
    ),
    Followed(
        at(9, 18, 23, 30),
        "chest",
        "kick-off-axis",
        "helped",
        "In the chest again, even at the bar.",
    ),
    Changed(
        at(9, 26, 15),
        "Drum kit",
        "Overhead drummer’s right",
        {"device": "Selvage O"},
        (),
        "failure",
        "Right overhead dead after a fall from the truck; omni from the percussion spare case.",
        FOR_A_NIGHT.email,
        "overhead-sub",
    ),
    Heard(
        at(9, 26, 19),
        "lopsided",
        "Drum kit",
        ("Overhead drummer’s left", "Overhead drummer’s right"),
        "",
        "Greta Sollund",
        "One cardioid and one omni: the right side is all room. Until the spare comes.",
        "adjust",
        song="Paper Ferry",
        section="chorus",
    ),
    Changed(
        at(10, 2, 12),
        "Drum kit",
        "Overhead drummer’s right",
        {"device": "Selvage C"},
        ("lopsided",),
        words="Repaired one is back; both sides alike again.",
        key="overhead-back",
    ),
    Heard(
        at(10, 10, 18),
        "bell",
        "Tenor saxophone",
        ("Tenor sax",),
        "You have me inside the bell again. Above, please. I breathe up there.",
        WIM,
        "He means the left-hand keys from above. Stand is too low and too near.",
        "adjust",
        song="Ninety Lamps",
        section="chorus",
        photos=(("saxophone bell", "The mic in the bell, stand at its lowest"),),
    ),
    Session(at(11, 17, 10), "Winter rehearsal", "Rehearsal barn"),
    Heard(
        at(11, 17, 12),
        "far",
        "Lead voice",
        ("Noor",),
        "When we play soft I can hear the drums in my own microphone.",
        NOOR,
        "Seated halls will be worse: try the tighter pattern.",
        "adjust",
        song="Ninety Lamps",
        section="verse",
        session="Winter rehearsal",
    ),
    Tried(
        at(11, 17, 15),
        "Lead voice",
        "Noor",
        "Less kit in the voice, same closeness?",
        (
            (
                "Carnothe Tight",
                {},
                "possible",
                "Less kit, a bit more nose. Noor wants to sleep on it.",
            ),
            ("Hollow 2", {}, "rejected", "Quiet, but it shines. She hates shine."),
        ),
        ("far",),
        song="Ninety Lamps",
        key="voice-trial",
    ),
    Heard(
        at(11, 18, 11),
        "low",
        "Bass main",
        ("Bass DI", "Bass mic"),
        "The low D is gone when we are all in.",
        IVO,
        "The amp turns the bass over, so mic and DI pull opposite ways and the lows go: reverse the "
        "mic. Its 20 cm are another matter, they comb the mids from about 860 Hz: nudge it in.",
        "adjust",
        song="What the Weir Said",
        section="chorus",
        session="Winter rehearsal",
    ),
    Changed(
        at(11, 18, 12),
        "Bass main",
        "Bass mic",
        {"distance": "12 cm", "polarity": "reversed"},
        ("low",),
        words="Reversed for the lows; closer, so that the comb starts higher.",
        key="bass-closer",
    ),
    Changed(at(11, 20, 9), "Bass main", "Valve head/Bass", {"setting": "1:30"}, (), by=TECH),
    Heard(
        at(11, 20, 10),
        "hat",
        "Drum kit",
        ("Snare top",),
        "",  # written out below
        "Yusra Kemp",
        "The stand has crept round.",
        "adjust",
        by=DRUM_TECH,
        song="Gravel and Lamplight",
        section="verse",
        memo_hz=196,
    ),
    WrittenOut(at(11, 20, 10, 5), "hat", "More hat than in September.", by=DRUM_TECH),
    Settled(at(11, 21, 10), "hat", "Stand marked with tape, back where it was. Nothing to change."),
    Renewed(
        at(9, 4, 9),
        "Bass main",
        "Valve head",
        "output valves, matched pair",
        words="By the amplifier technician in Harrowmouth, bias set there.",
    ),
    Renewed(at(9, 12, 11), "Drum kit", "Kick", "24 in, one ply, felt ring", DRUM_TECH),
    Renewed(at(9, 12, 11, 20), "Drum kit", "Snare", "14 in, coated", DRUM_TECH),
    Renewed(at(9, 12, 12), "Drum kit", "Rack tom", "13 in, coated", DRUM_TECH),
    Renewed(at(9, 12, 12, 10), "Drum kit", "Floor tom", "16 in, coated", DRUM_TECH),
    Renewed(at(9, 26, 16), "Stage-left guitar", "Long-neck guitar", "nickel, heavy"),
    Renewed(
        at(10, 10, 16),
        "Stage-left guitar",
        "Long-neck guitar",
        "nickel, heavy",
        words="A show early: the sixth had a flat spot.",
    ),
    Renewed(at(10, 10, 16, 20), "Stage-right guitar", "Long-neck guitar", "nickel, heavy"),
    Renewed(at(10, 10, 16, 30), "Stage-right guitar", "Drive", "9 V block, alkaline"),
    Renewed(
        at(10, 10, 17, 50),
        "Lead voice",
        "Hand-held receiver",
        "AA lithium, for the hand-held",
        DRUM_TECH,
    ),
    HandoverSpec(
        at(11, 22, 9),
        WINTER,
        "Seated halls and long throws. The sounds are right at the amps. Listen to the playback of "
        "3 September first, then walk the room. If something is missing, move a microphone before "
        "you reach for a knob.",
        "Valve head and combos: dangerous voltages inside, never without their speaker load.\n"
        "Rotary cabinet: moving rotors, keep hair, cables and fingers clear.\n"
        "Hall dimmers share our supply in Port Senner: the house electrician decides, never lift an earth.",
        "Greta Sollund, FOH until 30 November, by phone after that.\n"
        "Bram Ottway, strings and bass. Yusra Kemp, drums and keys. Odile Farrant, everything else.",
    ),
    Published(at(11, 22, 10), WINTER),
    Read(at(11, 23, 20), WINTER, NEW_ENGINEER, ("", MAUD, IVO)),
    Read(at(11, 24, 8), WINTER, MONITORS, ("", NOOR)),
    Read(at(11, 24, 9), WINTER, MANAGER, ("",)),
    Asked(
        at(11, 23, 20, 30),
        WINTER,
        NEW_ENGINEER,
        "Is the ribbon on the bass safe next to the phantom on the DI? They share a box.",
        IVO,
        "Phantom is switched per channel on that box; 8 stays off and is taped. Check it every time you patch.",
        TECH,
    ),
    Asked(
        at(11, 24, 8, 20),
        WINTER,
        MONITORS,
        "Which of the two voice microphones do I ring out on Monday?",
        NOOR,
        owed_by=ENGINEER,
    ),
    Changed(
        at(11, 24, 10),
        "Stage-right guitar",
        "Stage-right guitar edge",
        {"distance": "10 cm"},
        (),
        "wish",
        "Piet asked for a little more air before the long rooms.",
        TECH,
    ),
    Changed(at(11, 24, 10, 5), "Bass main", "Valve head/Treble", {"setting": "9:00"}, (), by=TECH),
    Asked(
        at(11, 24, 21),
        WINTER,
        NEW_ENGINEER,
        "What does Wim mean by above? How high is the stand?",
        WIM,
    ),
)
