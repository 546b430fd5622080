"""What the cells of the twelve lists mean: written by hand, from the lists alone.

A cell means ``{field: value}``, with lengths in metres. ``ASK`` stands where a person would ask
back too. A cell that is not mentioned means its own words in the field of its column; an empty one
says nothing. A row for several inputs has a tuple of values, one for each.
"""

from __future__ import annotations

from typing import Any, NamedTuple

ASK = "ask"

YES, NO = {"phantom": True}, {"phantom": False}
REVERSED = {"reversed_polarity": True}
NORMAL = {"reversed_polarity": False}


class Crew(NamedTuple):
    """One list: its file, how it is sent, and what it says."""

    file: str
    encoding: str  # of a text file; "xlsx" for a workbook
    merged: tuple[str, ...]
    heading: int  # the row of the headings; where there are two, the lower
    columns: dict[str, str]  # letter: field; a column that is not here is not used
    groups: dict[int, str]  # row: who plays it, as it stands there
    aside: tuple[int, ...]  # rows that are titles, notes of the sheet, spare lines
    words: dict[str, dict[str, Any]]  # letter: what its words mean
    cells: dict[str, Any]  # single cells


def hpf(hz: float | None) -> dict[str, Any]:
    return {"high_pass_hz": hz}


def at(distance: float | None = None, point: str = "", **more: Any) -> dict[str, Any]:
    said: dict[str, Any] = dict(more)
    if distance is not None:
        said["distance_m"] = distance
    if point:
        said["reference_point"] = point
    return said


CREWS = (
    Crew(
        "01-clubs.csv",
        "utf-8",
        (),
        4,
        {
            "A": "number",
            "B": "name",
            "C": "device",
            "D": "stand",
            "E": "phantom",
            "F": "notes",
            "G": "stage_position",
        },
        {5: "DRUMS", 15: "BASS", 19: "VOX"},
        (1, 2, 22, 24),
        {"E": {"NO!!": NO, "N": NO, "n": NO, "no": NO, "Y": YES, "y": YES, "yes": YES, "x": YES}},
        {
            "D6": {},
            "F7": at(0.025, "grille"),
            "F9": REVERSED,
            "A13": {"number": (8, 9)},
            "B13": {"name": ("OH L", "OH R")},
            "C13": {"device": "Brenn Reed"},
            "G13": {"stage_position": ("DR 8", "DR 9")},
        },
    ),
    Crew(
        "02-engineer.csv",
        "latin-1",
        (),
        1,
        {
            "A": "number",
            "B": "name",
            "C": "player",
            "D": "device",
            "E": "distance_m",
            "F": "stand",
            "G": "phantom",
            "H": "reversed_polarity",
            "I": "high_pass_hz",
            "J": "notes",
        },
        {},
        (13,),
        {
            "E": {
                "80mm off beater head": at(0.08, "beater head"),
                "4 cm above rim": at(None, "rim", height_m=0.04),
                "5 cm": at(0.05),
                "15 cm": at(0.15),
                "1,2 m": at(1.2),
                "25mm off grille": at(0.025, "grille"),
                "30cm, 45° off axis": at(0.3, angle_deg=45),
            },
            "G": {"nein": NO, "NO!!": NO, "ja": YES, "NEIN!!! Bändchen": NO},
            "H": {"Ø": REVERSED},
            "I": {
                "aus": hpf(None),
                "80 Hz": hpf(80),
                "80": hpf(80),
                "250Hz": hpf(250),
                "in": ASK,
                "100": hpf(100),
                "120": hpf(120),
            },
        },
        {},
    ),
    Crew(
        "03-theatre.csv",
        "xlsx",
        ("A1:H1", "A2:H2", "A6:H6", "A16:H16", "A19:H19", "A23:H23"),
        5,
        {
            "A": "number",
            "B": "name",
            "C": "device",
            "D": "stand",
            "E": "phantom",
            "F": "high_pass_hz",
            "G": "reversed_polarity",
            "H": "stage_position",
        },
        {6: "Drum kit", 16: "Bass rig", 19: "Keys (stage right)", 23: "Vocals"},
        (1, 2, 3, 29),
        {
            "E": {"Y": YES, "N": NO},
            "F": {
                "40": hpf(40),
                "30": hpf(30),
                "60": hpf(60),
                "100Hz": hpf(100),
                "300 Hz": hpf(300),
                "120": hpf(120),
                "in": ASK,
                "out": hpf(None),
            },
            "G": {"REV": REVERSED},
        },
        {
            "D7": {},
            "C18": ASK,
            "A20": {"number": (12, 13)},
            "B20": {"name": ("Piano L", "Piano R")},
            "C20": {"device": "DI"},
            "H20": {"stage_position": ("B3", "B4")},
            "A21": {"number": (14, 15)},
            "B21": {"name": ("Organ hi L", "Organ hi R")},
            "C21": {"device": "Selva C"},
            "H21": {"stage_position": ("B5", "B6")},
        },
    ),
    Crew(
        "04-fly.tsv",
        "utf-16",
        (),
        1,
        {
            "A": "device",
            "B": "distance_m",
            "C": "number",
            "D": "name",
            "E": "player",
            "F": "reversed_polarity",
            "G": "phantom",
            "H": "high_pass_hz",
            "I": "pad_db",
            "J": "gain_db",
        },
        {},
        (),
        {
            "B": {
                '1"': at(0.0254),
                '1 1/2"': at(0.0381),
                "1' 6\"": at(0.4572),
                "2.5 in from cone": at(0.0635, "cone"),
                "touching": at(0),
                "3 ft": at(0.9144),
                '6"': at(0.1524),
                "n/a": {},
            },
            "F": {"norm": NORMAL, "inv": REVERSED},
            "G": {"off": NO, "on": YES, '"': NO},
            "H": {"80": hpf(80), "120": hpf(120), "40": hpf(40), "off": hpf(None), "-": hpf(None)},
            "I": {
                "-10": {"pad_db": -10},
                "-10 dB": {"pad_db": -10},
                "0": {"pad_db": None},
                "-20": {"pad_db": -20},
                "20": {"pad_db": -20},
                "10": {"pad_db": -10},
                "tbc": ASK,
            },
            "J": {"30dB": {"gain_db": 30}},
        },
        {"A11": {"device": "Dorn Stump"}},
    ),
    Crew(
        "05-brass.csv",
        "utf-8-sig",
        (),
        1,
        {
            "A": "number",
            "B": "name",
            "C": "device",
            "D": "stand",
            "E": "phantom",
            "G": "notes",
        },
        {2: "BRASS"},
        (10, 11, 14),
        {"E": {"N": NO, "Y": YES, "Y?": ASK, "Y/Y": {"phantom": (True, True)}}},
        {
            "C3": {"device": "Ribb 9"},
            "G3": at(0.3, "bell", notes="never closer"),
            "G6": at(None, "congas", height_m=1.1, notes="XY"),
            "A5": {"number": (23, 24)},
            "B5": {"name": ("Sax clip", "Sax stand")},
            "C5": {"device": ("Clipper S", "Selva C")},
            "D5": {"stand": ("clip", "tall")},
            "A6": {"number": (25, 26)},
            "B6": {"name": ("Percussion OH L", "Percussion OH R")},
            "C6": {"device": "Selva C"},
            "D6": {"stand": "tall"},
        },
    ),
    Crew(
        "06-hire.csv",
        "cp1252",
        (),
        1,
        {
            "B": "number",
            "C": "player",
            "D": "name",
            "E": "device",
            "F": "phantom",
            "G": "stand",
            "H": "aimed_at",
            "J": "notes",
        },
        {},
        (),
        {
            "F": {"0": NO, "1": YES},
            "H": {
                "3 cm over rim": at(None, "rim", height_m=0.03),
                "10cm over edge": at(None, "edge", height_m=0.1),
            },
        },
        {
            "B3": {"number": (2, 3)},
            "D3": {"name": ("Snare T", "Snare B")},
            "B5": {"number": (5, 6, 7)},
            "D5": {"name": ("Tom 1", "Tom 2", "Tom 3")},
            "B6": {"number": (8, 9)},
            "D6": {"name": ("OH 1", "OH 2")},
        },
    ),
    Crew(
        "07-metal.csv",
        "utf-16",
        (),
        3,
        {
            "A": "number",
            "B": "name",
            "C": "device",
            "D": "aimed_at",
            "E": "stand",
            "F": "phantom",
        },
        {
            4: ">>> DRUMS - Odd",
            13: ">>> GUITARS - Pim + Vaast",
            18: ">>> BASS - Odd's brother",
            21: ">>> VOX",
        },
        (1, 25),
        {
            "D": {
                '1.5" above rim, pointing at centre': at(None, "rim", height_m=0.0381),
                '2" below': at(None, height_m=-0.0508),
                '6" off edge': at(0.1524, "edge"),
                "40 in above snare": at(None, "snare", height_m=1.016),
                "25mm off grille, cap edge": at(0.025, "grille"),
                "25mm off grille, cone": at(0.025, "grille"),
            },
            "E": {"-": {}},
            "F": {
                "YES!!": YES,
                "NO!!": NO,
                "NO": NO,
                "YES": YES,
                "DO NOT": NO,
                "NO (flip polarity)": NO,
            },
        },
        {
            "A5": {"number": 1},
            "A6": {"number": 2},
            "A7": {"number": 3},
            "A8": {"number": 4},
            "A9": {"number": (5, 6, 7, 8)},
            "B9": {"name": ("TOM 1", "TOM 2", "TOM 3", "TOM 4")},
            "C9": {"device": "Tarn claw"},
            "A10": {"number": 9},
            "A12": {"number": (11, 12)},
            "B12": {"name": ("OH SL", "OH SR")},
        },
    ),
    Crew(
        "08-folk.csv",
        "utf-8",
        (),
        1,
        {
            "A": "name",
            "B": "player",
            "C": "device",
            "D": "stage_position",
            "E": "phantom",
            "F": "stand",
            "G": "notes",
        },
        {},
        (),
        {
            "E": {
                "phantom please": YES,
                "no": NO,
                "48V": YES,
                "48V on the clip": ASK,
                "?": ASK,
            },
            "F": {"no": {}},
        },
        {"C7": ASK, "C9": ASK, "G10": at(0.3, "board", notes="please")},
    ),
    Crew(
        "09-corporate.csv",
        "xlsx",
        ("A1:C1", "D1:G1", "H1:I1"),
        2,
        {
            "A": "number",
            "C": "stage_position",
            "D": "name",
            "E": "device",
            "F": "stand",
            "G": "phantom",
        },
        {},
        (1,),
        {"G": {"Off": NO, "On": YES}},
        {"A15": {}},
    ),
    Crew(
        "10-quartet.tsv",
        "utf-8",
        (),
        1,
        {
            "A": "number",
            "B": "name",
            "C": "device",
            "E": "height_m",
            "F": "angle_deg",
            "G": "distance_m",
            "H": "high_pass_hz",
            "I": "phantom",
            "J": "pan",
            "K": "player",
        },
        {},
        (),
        {
            "E": {
                "40cm above": at(None, height_m=0.4),
                "2.4 m": at(None, height_m=2.4),
                "at bridge": ASK,
                "—": {},
            },
            "F": {
                "30°": at(angle_deg=30),
                "30": at(angle_deg=30),
                "30 deg": at(angle_deg=30),
                "0": at(angle_deg=0),
                "90": at(angle_deg=90),
                "—": {},
            },
            "G": {"60": at(0.6), "45": at(0.45), "3.1 m": at(3.1), "—": {}},
            "H": {"100": hpf(100), "80": hpf(80), "120": hpf(120), "-": hpf(None)},
            "I": {"✓": YES, "✗": NO},
            "J": {
                "L50": {"pan": -50},
                "L20": {"pan": -20},
                "R20": {"pan": 20},
                "R50": {"pan": 50},
                "L": {"pan": -100},
                "R": {"pan": 100},
                "C": {"pan": 0},
            },
        },
        {},
    ),
    Crew(
        "11-covers.csv",
        "latin-1",
        (),
        1,
        {"A": "number", "B": "name", "C": "device", "D": "phantom", "E": "notes"},
        {
            2: "DRUMS (Kalle)",
            6: "BASS (Synne)",
            8: "GTR (Yorick)",
            11: "LEAD VOX (Synne)",
            13: "KEYS (nobody yet)",
        },
        (15, 16),
        {"D": {"x": YES}},
        {
            "E4": at(None, height_m=0.0508, angle_deg=45),
            "E9": at(0.01, "grill cloth"),
            "A14": {"number": (8, 9)},
            "B14": {"name": ("keys L", "keys R")},
            "C14": {"device": "di"},
        },
    ),
    Crew(
        "12-festival.csv",
        "xlsx",
        ("A1:J1", "A2:G2", "A4:J4", "A12:J12", "A16:J16"),
        3,
        {
            "A": "number",
            "B": "stage_position",
            "C": "name",
            "D": "device",
            "F": "stand",
            "G": "phantom",
            "H": "high_pass_hz",
            "I": "reversed_polarity",
            "J": "notes",
        },
        {4: "RISER 1 / DRUMS", 12: "RISER 2 / KEYS", 16: "FLOOR"},
        (1, 2, 21, 22),
        {
            "G": {"–": NO, "+": YES},
            "H": {
                "OUT": hpf(None),
                "80Hz": hpf(80),
                "200Hz": hpf(200),
                "60Hz": hpf(60),
                "150Hz": hpf(150),
                "100Hz": hpf(100),
                "120Hz": hpf(120),
            },
            "I": {"+": NORMAL, "–": REVERSED},
        },
        {
            "A15": {"number": (10, 11)},
            "B15": {"stage_position": ("R2-3", "R2-4")},
            "C15": {"name": ("Keys 2 L", "Keys 2 R")},
            "J18": at(0.0254, "cloth"),
        },
    ),
)
