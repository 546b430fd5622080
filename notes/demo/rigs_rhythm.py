"""Drums and bass."""

from __future__ import annotations

from notes.demo.spec import C, I, L, R, S, U, choice, dial, switch, text, value


def _drum(
    name: str,
    size: str,
    pitch: str,
    muffling: str,
    inches: tuple[str, str],
    *,
    plan: tuple[str, str],
    spares: list[S],
) -> U:
    controls = [text("Pitch", pitch), text("Muffling", muffling)]
    facts = {"diameter": inches[0], "shell_depth": inches[1]}
    return U(name, "drum", "Hathrane", size, controls, {}, facts, spares, plan)


def _head(side: str, what: str, pitch: str, at: str, carried: int, every: int | None = None) -> S:
    more = {"side": side, "pitch": pitch, "pitch_at": at, "maker": "Brackmoor"}
    return S("head", what, carried, every, "shows" if every else "", more)


DRUMS = R(
    "Maud Ferreday",
    "Drum kit",
    "Like standing in the room with it: one kit, not eight channels. The kick is a soft thud you "
    "feel in the chest, never a click. Snare dry and a little papery. Leave the cymbals dark.",
    [
        _drum(
            "Kick",
            "24 × 14 in",
            "D#1, beater side a shade looser",
            "folded towel, touching both heads",
            ("24", "14"),
            plan=("30 cm", "48 cm"),
            spares=[
                _head("batter", "24 in, one ply, felt ring", "D#1", "fundamental", 1, 12),
                S("stick", "felt beater", 1),
            ],
        ),
        _drum(
            "Snare",
            "14 × 6½ in",
            "F#3 batter",
            "one gel at 12 o’clock",
            ("14", "6.5"),
            plan=("0 cm", "0 cm"),
            spares=[
                _head("batter", "14 in, coated", "F#3", "lug", 2, 4),
                _head("resonant", "14 in, thin", "A3", "lug", 1),
                S("other", "wire set, 16 strands", 1),
            ],
        ),
        _drum(
            "Rack tom",
            "13 × 9 in",
            "A2",
            "none",
            ("13", "9"),
            plan=("14 cm", "43 cm"),
            spares=[_head("batter", "13 in, coated", "A2", "fundamental", 1, 8)],
        ),
        _drum(
            "Floor tom",
            "16 × 16 in",
            "E2",
            "cotton strip",
            ("16", "16"),
            plan=("58 cm", "-6 cm"),
            spares=[_head("batter", "16 in, coated", "E2", "fundamental", 1, 8)],
        ),
        U(
            "Hi-hat",
            "cymbal",
            "Hathrane",
            "15 in, dark",
            facts={"diameter": "15"},
            plan=("-44 cm", "9 cm"),
        ),
        U(
            "Ride",
            "cymbal",
            "Hathrane",
            "22 in, three rivets",
            facts={"diameter": "22"},
            plan=("72 cm", "38 cm"),
            spares=[S("pad", "cymbal felts, 40 mm", 4)],
        ),
    ],
    inputs=[
        I(
            1,
            "Kick in",
            "Kick",
            "Footplate",
            "lying on the towel",
            "batter head",
            "14 cm",
            plan=("30 cm", "50 cm"),
            more={"phantom": True, "gain_db": "22", "stage_position": "Box A 1"},
        ),
        I(
            2,
            "Kick out",
            "Kick",
            "Bollard",
            "edge of the port",
            "resonant head",
            "8 cm",
            "15",
            "-5 cm",
            plan=("34 cm", "75 cm"),
            more={"gain_db": "30", "stand": "short boom", "stage_position": "Box A 2"},
        ),
        I(
            3,
            "Snare top",
            "Snare",
            "Hollow 2",
            "rim to centre, away from the hat",
            "batter head",
            "35 mm",
            "40",
            plan=("-7 cm", "16 cm"),
            more={"gain_db": "34", "high_pass_hz": "70", "stand": "short boom"},
        ),
        I(
            4,
            "Snare bottom",
            "Snare",
            "Thimble",
            "across the wires",
            "wire side head",
            "60 mm",
            "30",
            more={
                "phantom": True,
                "gain_db": "18",
                "high_pass_hz": "120",
                "reversed_polarity": True,
            },
        ),
        I(
            5,
            "Overhead drummer’s left",
            "",
            "Selvage C",
            "snare centre",
            "snare centre",
            "1.02 m",
            "0",
            "86 cm",
            plan=("-52 cm", "17 cm"),
            more={"phantom": True, "gain_db": "20", "pan": -60, "stand": "tall boom"},
            also=("the kit",),
        ),
        I(
            6,
            "Overhead drummer’s right",
            "",
            "Selvage C",
            "snare centre",
            "snare centre",
            "1.02 m",
            "0",
            "86 cm",
            plan=("50 cm", "22 cm"),
            more={"phantom": True, "gain_db": "20", "pan": 60, "stand": "tall boom"},
            also=("the kit",),
        ),
    ],
    groups={"the kit": ("Kick", "Snare", "Rack tom", "Floor tom", "Hi-hat", "Ride")},
)

BASS = R(
    "Ivo Tandeker",
    "Bass main",
    "Warm and woody, like an old upright through a small valve amp. Let the note bloom. If it clanks "
    "it is wrong.",
    [
        U(
            "Long-scale bass",
            "bass",
            "Pellworth",
            "Dory",
            [
                dial("Volume", "10"),
                dial("Tone", "4"),
            ],
            {
                "tuning": "D1 A1 D2 G2",
                "notes": "Flat-wounds, changed in July. Do not change before December.",
            },
            {
                "scale_length": "864",
                "pickup_inductance": "4.5",
                "pickup_resistance": "8",
                "pickup_capacitance": "120",
                "volume_pot": "250",
            },
            [
                S(
                    "string_set",
                    "flat-wound, long scale",
                    1,
                    more={"gauges": "100w 80w 65w 45w", "maker": "Pellworth"},
                ),
            ],
        ),
        U("Splitter", "switcher", "Vennick Works", "Fork 2", [text("Route", "A to amp, B to DI")]),
        U(
            "Squeeze pedal",
            "compressor",
            "Tallow",
            "Pressgang",
            [
                switch("On", "on"),
                value("Ratio", "3", ":1"),
                value("Attack", "25", "ms"),
                C("Blend", "1:30"),
                C("Level", "12:30"),
            ],
        ),
        U(
            "Valve head",
            "valve_head",
            "Ostrander",
            "Sixty",
            [
                C("Gain", "1:30"),
                C("Bass", "2:00"),
                C("Middle", "11:00"),
                C("Treble", "9:30"),
                C("Master", "2:30"),
                switch("Standby", "on", "standby, on"),
                choice("Speaker tap", "8 Ω", "4 Ω, 8 Ω, 16 Ω"),
            ],
            {
                "stage_position": "Bass riser",
                "mains_circuit": "Backline, 230 V",
                "packed_in": "Case 3, bass",
            },
            {
                "tap_impedance": "8",
                "output_power": "60",
                "mains_power": "240",
                "weight": "21",
                "input_impedance": "1000",
            },
            [
                S("valve", "output valves, matched pair", 1, 365, "days", {"maker": "Ostrander"}),
                S("fuse", "T 1.6 A H 250 V, 5 × 20 mm", 5),
            ],
        ),
        U(
            "Cabinet 1 × 15",
            "cabinet",
            "Ostrander",
            "Barrel",
            [],
            {"stage_position": "Bass riser", "packed_in": "Case 4, bass cabinet"},
            {
                "speaker_impedance": "8",
                "power_handling": "200",
                "spl_at_mic": "116",
                "weight": "34",
            },
        ),
    ],
    [
        L(
            "Long-scale bass",
            "Splitter",
            length="6 m",
            cable="blue tape",
            connectors="¼ in straight to ¼ in straight",
        ),
        L("Splitter", "Squeeze pedal", length="30 cm", from_socket="A"),
        L("Squeeze pedal", "Valve head", length="4.5 m"),
        L("Valve head", "Cabinet 1 × 15", "speaker", "1.5 m", "red tape", "locking speaker plugs"),
    ],
    [
        I(
            7,
            "Bass DI",
            "Splitter",
            "Straight Line A",
            "B output",
            more={"phantom": True, "gain_db": "12", "high_pass_hz": "30"},
        ),
        I(
            8,
            "Bass mic",
            "Cabinet 1 × 15",
            "Hollow 2",
            "cone edge, 4 o’clock",
            "grille cloth",
            "35 mm",
            "20",
            more={"gain_db": "28", "high_pass_hz": "30", "stand": "short boom"},
        ),
    ],
)

BASS_FLY = R(
    "Ivo Tandeker",
    "Bass fly rig",
    "As the main rig, nearly. The DI carries it.",
    [
        U(
            "Long-scale bass",
            "bass",
            "Pellworth",
            "Dory",
            [dial("Volume", "10"), dial("Tone", "4")],
            {"tuning": "D1 A1 D2 G2"},
        ),
        U(
            "Squeeze pedal",
            "compressor",
            "Tallow",
            "Pressgang",
            [switch("On", "on"), C("Blend", "1:30")],
        ),
        U(
            "Pocket amp",
            "modeller",
            "Ostrander",
            "Pocket Sixty",
            [
                text("Program", "7, bloom"),
                text("Amplifier", "small valve head"),
                text("Cabinet", "1 × 15, ribbon at 20 cm"),
                C("Gain", "1:00"),
                C("Bass", "1:30"),
                C("Master", "12:00"),
            ],
            {"notes": "In the hand luggage: it makes any hired amp the one of the main rig."},
        ),
        U(
            "Hired head",
            "valve_head",
            controls=[C("Gain", "12:00"), C("Bass", "1:00"), C("Master", "2:00")],
            facts={"tap_impedance": "8", "output_power": "50"},
        ),
        U(
            "Attenuator",
            "load_box",
            "Ostrander",
            "Millpond",
            [
                value("Attenuation", "-6", "dB"),
                choice("Impedance", "8 Ω", "4 Ω, 8 Ω, 16 Ω"),
                value("Line output", "-10", "dB"),
            ],
            {"notes": "Gets hot: keep it open above, and off the carpet."},
            {"speaker_impedance": "8", "power_handling": "100"},
        ),
        U(
            "Hired cabinet",
            "cabinet",
            facts={"speaker_impedance": "8", "power_handling": "300"},
        ),
    ],
    inputs=[
        I(
            7,
            "Bass DI",
            "Pocket amp",
            "Straight Line",
            "output, thru to the head",
            more={
                "gain_db": "28",
                "high_pass_hz": "30",
                "pad_db": "-20",
                "pad_at": "device",
                "ground_lift": True,
            },
        )
    ],
    variant="fly",
    path="long-scale > squeeze > pocket > hired head > attenuator > hired cab",
)

RHYTHM = (DRUMS, BASS, BASS_FLY)
