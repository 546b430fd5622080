"""The two guitars: one set-up, twice, with what is each one’s own."""

from __future__ import annotations

from notes.demo.spec import C, I, L, P, R, S, U, choice, dial, switch, text, value

# The echo drains a battery in a set; the drive stays on one, as both players want it.
_SUPPLY = U(
    "Pedal supply",
    "power",
    "Tallow",
    "Larder",
    [
        text("Outlet 1", "9 V, centre negative, 100 mA"),
        text("Outlet 2", "9 V, centre negative, 300 mA"),
    ],
    {"mains_circuit": "Backline, 230 V"},
    {"mains_power": "20"},
)
_POWER = L("Pedal supply", "Echo", "power", "30 cm", from_socket="Outlet 2")
_TUNING = "C2 G2 C3 F3 A3 D4"
# The echo between the drive and the amplifier, or in the amplifier's effects loop.
_ROW = (L("Drive", "Echo", length="15 cm"), L("Echo", "Combo", length="6 m"))
_LOOP = (
    L("Drive", "Gate", length="15 cm"),
    L("Gate", "Combo", length="6 m"),
    L("Foot controller", "Echo", "control", "60 cm"),
    L("Combo", "Echo", "line", "3 m", "green tape", "¼ in to ¼ in", from_socket="send"),
    L("Echo", "Combo", "line", "3 m", "green tape, two rings", "¼ in to ¼ in", to_socket="return"),
)


_DRIVE = U(
    "Drive",
    "pedal",
    "Tallow",
    "Kithrel",
    [switch("On", "on"), C("Level", "12:00"), C("Drive", "10:30"), C("Tone", "1:00")],
    spares=[S("battery", "9 V block, alkaline", 4, 2, "shows")],
)
_ECHO = U(
    "Echo",
    "pedal",
    "Tallow",
    "Well",
    [
        switch("On", "off"),
        value("Time", "380", "ms"),
        C("Repeats", "9:00"),
        C("Mix", "10:00"),
        text("Supply", "9 V, centre negative, 250 mA"),
    ],
)

# After the drive of the player who has it on in every song: shut in the pauses.
_GATE = U(
    "Gate",
    "gate",
    "Tallow",
    "Wicket",
    [
        switch("On", "on"),
        value("Threshold", "-52", "dB"),
        value("Range", "30", "dB"),
        value("Hold", "60", "ms"),
        value("Release", "140", "ms"),
    ],
)
_CONTROLLER = U(
    "Foot controller",
    "controller",
    "Tallow",
    "Sexton",
    [
        text("Program", "1 dry, 2 echo, 3 long echo"),
        text("Loops", "1: echo"),
        text("MIDI channel", "1"),
    ],
)


_ECHO_ON = {"Echo": "in", "Echo/On": "on"}
_SCENES = [
    P("Foot controller", "1", "Dry", {"Echo": "bypassed"}),
    P("Foot controller", "2", "Echo", _ECHO_ON),
    P("Foot controller", "3", "Long echo", {**_ECHO_ON, "Echo/Time": "620", "Echo/Mix": "1:00"}),
]


def _long_neck(strings: int) -> U:
    """The guitar; its strings are changed every `strings` shows."""
    return U(
        "Long-neck guitar",
        "guitar",
        "Pellworth",
        "Huvel",
        [
            choice("Pickup", "bridge", "neck, middle, bridge"),
            dial("Volume", "9"),
            dial("Tone", "7"),
        ],
        {"tuning": _TUNING},
        {
            "scale_length": "686",
            "pickup_inductance": "4.5",
            "pickup_resistance": "8",
            "pickup_capacitance": "150",
            "volume_pot": "500",
        },
        [
            S(
                "string_set",
                "nickel, heavy",
                4,
                strings,
                "shows",
                {"gauges": "13 17 22 36w 48w 64w", "maker": "Pellworth"},
            ),
        ],
    )


def _combo(name: str, case: int) -> U:
    """The amplifier of the rig called `name`, which travels in case number `case`."""
    return U(
        "Combo",
        "combo",
        "Ostrander",
        "Thirty",
        [
            C("Volume", "11:30"),
            C("Bass", "10:00"),
            C("Middle", "2:30"),
            C("Treble", "1:00"),
            C("Presence", "12:30"),
        ],
        {
            "stage_position": f"Stage {name.split()[-1]}, behind the guitar",
            "mains_circuit": "Backline, 230 V",
            "packed_in": f"Case {case}, {name.lower()}",
        },
        {
            "speaker_impedance": "8",
            "tap_impedance": "8",
            "spl_at_mic": "112",
            "mains_power": "160",
            "weight": "27",
        },
    )


def _inputs(name: str, first: int, pan: int, second_mic: str) -> list[I]:
    """Both microphones on the cone, on channels `first` and the next."""
    cloth = "grille cloth"
    return [
        I(
            first,
            f"{name} centre",
            "Combo",
            "Hollow 2",
            "dust-cap edge",
            cloth,
            "25 mm",
            "0",
            more={"gain_db": "30", "high_pass_hz": "80", "pan": pan},
        ),
        I(
            first + 1,
            f"{name} edge",
            "Combo",
            second_mic,
            "cone edge",
            cloth,
            "15 cm",
            "30",
            more={"gain_db": "38", "high_pass_hz": "60", "pan": pan},
        ),
    ]


def _guitar(
    player: str,
    name: str,
    sound: str,
    first: int,
    pan: int,
    second_mic: str,
    strings: int,
    in_loop: bool = False,
    second: tuple[U, ...] = (),
) -> R:
    links = [
        L("Long-neck guitar", "Drive", length="6 m", connectors="¼ in straight to ¼ in angled"),
        *(_LOOP if in_loop else _ROW),
        *(L(unit.name, "Drive", length="6 m") for unit in second),
        _POWER,
    ]
    combo = _combo(name, 5 if pan < 0 else 6)
    more = (_GATE, _CONTROLLER) if in_loop else ()
    units = [_long_neck(strings), *second, _DRIVE, *more, _ECHO, combo, _SUPPLY]
    inputs = _inputs(name, first, pan, second_mic)
    scenes = _SCENES if in_loop else []
    return R(player, name, sound, units, links, inputs, scenes=scenes)


GUITAR_LEFT = _guitar(
    "Sanna Quillby",
    "Stage-left guitar",
    "A big slow door closing. All the weight is in the low strings; please do not thin it out to "
    "make room. The top should be like wool, not like wire.",
    9,
    -70,
    "Eskvane 4",
    2,
)
_SHORT_NECK = U(
    "Short-neck guitar",
    "guitar",
    "Pellworth",
    "Whin",
    [
        choice("Pickup", "middle", "neck, middle, bridge"),
        dial("Volume", "8"),
        dial("Tone", "6"),
    ],
    {"tuning": "D2 A2 D3 G3 B3 E4"},
    {"scale_length": "628"},
)
GUITAR_RIGHT = _guitar(
    "Piet Orloveen",
    "Stage-right guitar",
    "I am the knife, Sanna is the hammer.",
    11,
    70,
    "Eskvane 4",
    1,
    True,
    (_SHORT_NECK,),
)
GUITARS = (GUITAR_LEFT, GUITAR_RIGHT)
