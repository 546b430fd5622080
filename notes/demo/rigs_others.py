"""Organ, brass and voices."""

from __future__ import annotations

from notes.demo.spec import C, I, L, R, S, U, choice, dial, switch, text, value

ORGAN = R(
    "Hestia Marlow-Crane",
    "Organ and rotary",
    "A choir in a cold church that leans forward when I ask it to. Slow must breathe, fast must "
    "shimmer without tearing your head off. The wood of the cabinet is half of it.",
    [
        U(
            "Two-manual organ",
            "keyboard",
            "Lindqvarn",
            "Double",
            [
                text("Upper drawbars", "88 8000 003"),
                text("Lower drawbars", "83 6600 000"),
                dial("Expression floor", "3"),
                switch("Percussion", "off"),
            ],
        ),
        U(
            "Rotary cabinet",
            "rotary",
            "Lindqvarn",
            "Mill",
            [
                switch("Speed", "slow", "slow, stop, fast"),
                C("Volume", "1:00"),
            ],
            {
                "notes": "Back panel off, lower louvres towards the wall.",
                "stage_position": "Keys riser",
                "mains_circuit": "Keys, 230 V, 10 A",
                "packed_in": "Case 8, rotary",
            },
            {"spl_at_mic": "108", "mains_power": "300", "weight": "64"},
            [
                S("other", "drive belt, upper rotor", 1, 180, "days"),
                S("fuse", "T 2 A H 250 V, 5 × 20 mm", 5),
            ],
        ),
        U(
            "Electric piano",
            "keyboard",
            "Lindqvarn",
            "Tineholm",
            [
                C("Volume", "2:00"),
                C("Bass", "11:00"),
            ],
            {
                "stage_position": "Keys riser",
                "mains_circuit": "Keys, 230 V, 10 A",
                "packed_in": "Case 7, keys",
            },
            {"mains_power": "40", "weight": "31"},
        ),
    ],
    [L("Two-manual organ", "Rotary cabinet", "line", "9 m", "multi-pin, the grey one")],
    [
        I(
            13,
            "Rotary top left",
            "Rotary cabinet",
            "Selvage C",
            "upper rotor, louvre",
            "upper louvre",
            "25 cm",
            "45",
            "",
            "-12 cm",
            {"phantom": True, "gain_db": "18", "high_pass_hz": "100", "pan": -80},
        ),
        I(
            14,
            "Rotary top right",
            "Rotary cabinet",
            "Selvage C",
            "upper rotor, louvre",
            "upper louvre",
            "25 cm",
            "45",
            "",
            "12 cm",
            {"phantom": True, "gain_db": "18", "high_pass_hz": "100", "pan": 80},
        ),
        I(
            15,
            "Rotary low",
            "Rotary cabinet",
            "Bollard",
            "lower rotor",
            "lower louvre",
            "20 cm",
            "0",
            more={"gain_db": "26", "low_pass_hz": "900"},
        ),
        I(
            16,
            "Electric piano",
            "Electric piano",
            "Twin Line A",
            "line output",
            more={"phantom": True, "gain_db": "10", "pan": 15},
        ),
    ],
)

TRUMPET = R(
    "Olu Bexwith",
    "Trumpet",
    "Round, a step back. Let me lean in.",
    [U("Trumpet", "wind", "Arkvedel", "Large bore")],
    inputs=[
        I(
            17,
            "Trumpet",
            "Trumpet",
            "Eskvane 4",
            "bell, slightly above the axis",
            "bell rim",
            "35 cm",
            "10",
            more={"gain_db": "34", "high_pass_hz": "120", "pan": 25},
        ),
        I(
            22,
            "Brass room",
            "Trumpet",
            "Eskvane 6A",
            "between the two bells",
            "trumpet bell rim",
            "140 cm",
            more={"phantom": True, "gain_db": "28", "high_pass_hz": "100"},
            also=("Wim Castellane",),
        ),
    ],
)

SAX = R(
    "Wim Castellane",
    "Tenor saxophone",
    "Breath first, then the note. I hear it from above, keys and all, not from inside the bell.",
    [U("Tenor saxophone", "wind", "Arkvedel", "Long bow")],
    inputs=[
        I(
            18,
            "Tenor sax",
            "Tenor saxophone",
            "Selvage C",
            "left-hand keys, not the bell",
            "bell rim",
            "40 cm",
            "35",
            more={"phantom": True, "gain_db": "22", "high_pass_hz": "90", "pan": -25},
        )
    ],
)

LEAD = R(
    "Noor Ashgrove",
    "Lead voice",
    "Close, plain, nothing shiny.",
    [
        U("Lead voice", "voice"),
        U(
            "Hand-held receiver",
            "wireless",
            "Brackmoor",
            "Rellivane 2",
            [
                text("Channel plan", "see the show’s own list"),
                dial("Output", "6"),
            ],
            spares=[S("battery", "AA lithium, for the hand-held", 8, 1, "shows", {"in_use": 2})],
        ),
    ],
    [L("Lead voice", "Hand-held receiver", "radio")],
    [
        I(
            19,
            "Noor",
            "Hand-held receiver",
            "Carnothe",
            "the mouth, just below",
            "lips",
            "3 cm",
            "0",
            more={"gain_db": "24", "high_pass_hz": "110"},
        )
    ],
)

SECOND = R(
    "Thessa Brightwater",
    "Second voice and percussion",
    "Blend with Noor, step out in the bridge.",
    [
        U("Second voice", "voice"),
        U("Percussion table", "other"),
        U(
            "Pads",
            "sampler",
            "Ossling",
            "Four by four",
            [text("Program", "1 Bare"), C("Volume", "2:00")],
            {
                "midi_channel": 10,
                "programs_from": "1",
                "stage_position": "Percussion table",
                "packed_in": "Case 9, percussion",
            },
        ),
        U(
            "Playback A",
            "playback",
            controls=[value("Output", "-6", "dB"), value("Click", "-12", "dB")],
            more={
                "machine": "A",
                "session": "Autumn set, version 7",
                "midi_channel": 16,
                "stage_position": "Percussion table",
                "packed_in": "Case 10, playback",
            },
        ),
        # As somebody left it in rehearsals: a finding shows that it lags behind.
        U(
            "Playback B",
            "playback",
            controls=[value("Output", "-6", "dB"), value("Click", "-12", "dB")],
            more={
                "machine": "B",
                "session": "Autumn set, version 6",
                "stage_position": "Percussion table",
                "packed_in": "Case 10, playback",
            },
        ),
        U(
            "Changeover",
            "playback_switch",
            "Ossling",
            "Two to one",
            [
                switch("In use", "A", "A, B"),
                choice("Changes over", "by itself", "by itself, by hand"),
            ],
            {"stage_position": "Percussion table", "packed_in": "Case 10, playback"},
        ),
    ],
    [
        L("Playback A", "Changeover", "line", "2 m"),
        L("Playback B", "Changeover", "line", "2 m"),
        L("Playback A", "Pads", "control", "2 m", "MIDI"),
    ],
    inputs=[
        I(
            20,
            "Thessa",
            "Second voice",
            "Carnothe Tight",
            "the mouth",
            "lips",
            "5 cm",
            "0",
            more={"gain_db": "27", "high_pass_hz": "130", "pan": 10},
        ),
        I(
            21,
            "Percussion",
            "Percussion table",
            "Selvage O",
            "over the table",
            "table edge",
            "60 cm",
            "20",
            more={"phantom": True, "gain_db": "24", "high_pass_hz": "150", "pan": 40},
        ),
        I(23, "Pads", "Pads", "Straight Line", more={"gain_db": "8", "pan": 40}),
        I(
            24,
            "Tracks",
            "Changeover",
            "Straight Line",
            more={"output": "Out 1", "carries": "tracks", "gain_db": "6"},
        ),
        I(
            25,
            "Click",
            "Changeover",
            "Straight Line",
            more={"output": "Out 3", "carries": "click", "monitors_only": True},
        ),
    ],
)

FIDDLE = R(
    "Lorcan Dray",
    "Guest fiddle",
    "Air, little bow.",
    [U("Fiddle", "other")],
    inputs=[I(26, "Fiddle", "Fiddle", "Twin Line A", more={"phantom": True, "gain_db": "18"})],
)

OTHERS = (ORGAN, TRUMPET, SAX, LEAD, SECOND, FIDDLE)
