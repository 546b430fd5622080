"""Who and where: an invented nine-piece act, its crew, its tour and its songs."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from core.models.roles import Role

PRODUCTION = "Ninefold Weir"
ABOUT = "Nine players, two buses, one pair of ears at the far end of the room."
PASSWORD = "weir-demo-2026"  # noqa: S105 - printed for whoever tries the demonstration


class CastMember(NamedTuple):
    email: str
    name: str
    roles: tuple[Role, ...]
    player: str = ""  # the musician they are


PEOPLE = (
    CastMember("greta@ninefold.example", "Greta Sollund", (Role.ENGINEER,)),
    CastMember("bram@ninefold.example", "Bram Ottway", (Role.TECH,)),
    CastMember("yusra@ninefold.example", "Yusra Kemp", (Role.TECH,)),
    CastMember("ivo@ninefold.example", "Ivo Tandeker", (Role.PLAYER,), "Ivo Tandeker"),
    CastMember("jonah@ninefold.example", "Jonah Trell", (Role.CREW,)),
    CastMember("lise@ninefold.example", "Lise Maarten", (Role.MONITORS,)),
    CastMember("odile@ninefold.example", "Odile Farrant", (Role.MANAGER,)),
)
# Of a house crew; in no list of log-ins, because they asked to be removed (notes.demo.forgotten).
FOR_A_NIGHT = CastMember("corin@ninefold.example", "Corin Vasey", (Role.CREW,))
ENGINEER, TECH, DRUM_TECH, BASS_PLAYER, NEW_ENGINEER, MONITORS, MANAGER = (
    person.email for person in PEOPLE
)

PLAYERS = (
    ("Maud Ferreday", "drums"),
    ("Ivo Tandeker", "bass"),
    ("Sanna Quillby", "guitar, stage left"),
    ("Piet Orloveen", "guitar, stage right"),
    ("Hestia Marlow-Crane", "organ and electric piano"),
    ("Olu Bexwith", "trumpet"),
    ("Wim Castellane", "tenor saxophone"),
    ("Noor Ashgrove", "lead voice"),
    ("Thessa Brightwater", "voice and percussion"),
)
# They play only at the shows where their rig is ticked.
GUESTS = (("Lorcan Dray", "fiddle"),)


class ShowSpec(NamedTuple):
    day: date
    room: str
    town: str
    distance: str = ""
    celsius: str = ""
    humidity: str = ""
    mains: tuple[int, int] | tuple[()] = ()  # volts and hertz of the house


# The room of the rehearsals: name, °C, %, loudspeakers to the listener.
REHEARSAL_ROOM = ("Rehearsal barn", "16", "60", "5 m")

LEGS = (
    (
        "Autumn rooms",
        date(2026, 9, 14),
        date(2026, 10, 11),
        "Clubs. Own backline, house sound.",
        (
            ShowSpec(date(2026, 9, 14), "The Oakum Store", "Harrowmouth", "24 m", "23", "48"),
            ShowSpec(date(2026, 9, 18), "Osierdyke Hall", "Eddisport", "31 m", "21.5", "55"),
            ShowSpec(date(2026, 9, 26), "Foundry Two", "Kestrow Green", "28 m", "26", "61"),
            ShowSpec(date(2026, 10, 10), "The Sallow Barn", "Ostermere", "19 m", "17", "70"),
        ),
    ),
    (
        "Winter halls",
        date(2026, 11, 30),
        date(2026, 12, 19),
        "Seated halls, mix position far back. New FOH engineer joins for this leg.",
        (
            ShowSpec(date(2026, 11, 30), "Civic Hall", "Brandlow", "41 m", "20", "40", (230, 50)),
            ShowSpec(
                date(2026, 12, 4), "Winter Garden", "Port Senner", "38 m", "19", "62", (230, 50)
            ),
            ShowSpec(date(2026, 12, 12), "Assembly Rooms", "Wrendlow", "44 m"),
            ShowSpec(date(2026, 12, 19), "Tithe Theatre", "Nether Quelby", "36 m", mains=(120, 60)),
        ),
    ),
)

# Title, tempo, reference, sections
SONGS = (
    ("Alder Ebb", "84", "First album, 0:00 to 0:40: bass alone, then drums", "intro verse chorus"),
    (
        "Gravel and Lamplight",
        "126",
        "Single, second chorus: guitars wide, voice dry",
        "verse chorus solo",
    ),
    ("Ninety Lamps", "72", "First album, bridge: organ swells under brass", "verse bridge chorus"),
    ("Paper Ferry", "", "Live take from the rehearsal room, 12 September", "verse chorus"),
    ("What the Weir Said", "98", "First album, last chorus: all nine", "verse chorus outro"),
)

# Length of each song, and the gap after it; empty where nobody has timed it.
SONG_TIMES = {
    "Alder Ebb": ("4:05", "0:20"),
    "Gravel and Lamplight": ("3:32", "0:10"),
    "Ninety Lamps": ("5:10", "0:50"),
    "Paper Ferry": ("3:48", ""),
    "What the Weir Said": ("6:20", ""),
}
