"""Single changes of a sound, made by code of another origin: libavfilter, image sources, sums.

Nothing here comes from rigs.signal or from notes: what judges must not have made the test.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import av
import numpy as np

from tests.bench.corpus import responses
from tests.bench.corpus.sources import (
    RATE,
    Sound,
    Source,
    excerpt_of,
    is_kit,
    pattern_of,
    resampled,
)

TAKES = 4  # the first three are the signed sound, the fourth is tonight's
_SHORTEST_S = 1.5


@dataclass(frozen=True)
class Change:
    """`kind` is what the program should say first; `large`: one of the six that words must tell,
    with `band` (Hz, from and to) and `sign` of what it does."""

    name: str
    kind: str
    make: Callable[[Sound], Sound]
    band: tuple[float, float] | None = None
    sign: int = 0


def filtered(sound: Sound, *chain: tuple[str, str]) -> Sound:
    """Through filters of libavfilter, mono at 48 kHz; as long as before."""
    graph = av.filter.Graph()
    nodes = [graph.add_abuffer(sample_rate=RATE, format="flt", layout="mono")]
    nodes += [graph.add(name, options) for name, options in chain]
    nodes += [graph.add("aformat", "sample_fmts=flt"), graph.add("abuffersink")]
    for one, other in zip(nodes, nodes[1:], strict=False):
        one.link_to(other)
    graph.configure()
    frame = av.AudioFrame.from_ndarray(sound.astype(np.float32)[None], "flt", "mono")
    frame.sample_rate = RATE
    graph.push(frame)
    graph.push(None)
    out = []
    while True:
        try:
            out.append(graph.pull().to_ndarray()[0])
        except (av.error.BlockingIOError, av.error.EOFError):
            break
    whole = np.concatenate(out).astype(np.float64)
    return np.pad(whole, (0, max(0, len(sound) - len(whole))))[: len(sound)]


def _by(*chain: tuple[str, str]) -> Callable[[Sound], Sound]:
    return lambda sound: filtered(sound, *chain)


def _two_microphones(sound: Sound) -> Sound:
    """A near one and one a third of a metre further, in a room, equally loud, added together."""
    room = responses.image_source_room(np.random.default_rng(5), [0.1, 0.45])
    near, far = (responses.apply(sound, each) for each in room.responses)
    loud = np.sqrt((near**2).mean() / ((far**2).mean() + 1e-20))
    return near + 0.8 * loud * far


def _off_the_axis(sound: Sound) -> Sound:
    """A microphone 30 cm from a cone that moves on 16 cm, from its middle to 12 cm beside it: the
    sum of what every point of the cone sends to both places, as Huygens has it."""
    before, after = (_cone_heard_at(beside) for beside in (0.0, 0.12))
    # What the first place did is in the recording already: divided out, where it is not nothing.
    size = len(sound) + RATE // 4
    ratio = np.fft.rfft(after, size) / (np.fft.rfft(before, size) + 1e-3)
    return np.asarray(np.fft.irfft(np.fft.rfft(sound, size) * ratio, size)[: len(sound)])


def _cone_heard_at(beside: float) -> Sound:
    spin = np.random.default_rng(11)
    far, round_ = 0.08 * np.sqrt(spin.uniform(size=4000)), spin.uniform(0, 2 * np.pi, 4000)
    apart = np.hypot(far * np.cos(round_) - beside, far * np.sin(round_))
    metres = np.hypot(apart, 0.3)
    out = np.zeros(512)
    # Linear between two samples: its loss at the top is the same for both places.
    at = metres / responses.AIR_M_S * RATE
    whole = at.astype(int)
    np.add.at(out, whole, (1 - at + whole) / metres)
    np.add.at(out, whole + 1, (at - whole) / metres)
    return out / len(far)


def _more_air(sound: Sound) -> Sound:
    """60 m more of it, by the table of pyroomacoustics (20 °C, 30 to 50 % humidity)."""
    from pyroomacoustics import parameters  # noqa: PLC0415 - only these benches need it

    table = parameters.air_absorption_table
    middles = np.array(table["center_freqs"], dtype=float)
    # Pressure falls by half of what the table says of energy, and above its last band on as there.
    half = np.array(table["20C_30-50%"]) / 2
    hertz = np.fft.rfftfreq(4096, 1 / RATE)
    per_metre = np.exp(np.interp(np.log(hertz + 1), np.log(middles), np.log(half)))
    above = hertz > middles[-1]
    slope = np.log(half[-1] / half[-2]) / np.log(middles[-1] / middles[-2])
    per_metre[above] = half[-1] * (hertz[above] / middles[-1]) ** slope
    taps = np.roll(np.fft.irfft(np.exp(-60 * per_metre)), 2048) * np.hanning(4096)
    return responses.apply(sound, taps)


def _louder(sound: Sound) -> Sound:
    return sound / max(1e-9, float(np.abs(sound).max()))


# Shelves of second order below 150 Hz, which is about what a step away does to a directional
# microphone near a source: common practice, no source.
_LOWS = "g={}:f=150:t=s:w=0.6"

CHANGES = (
    Change("high-pass in, 150 Hz", "high_pass", _by(("highpass", "f=150:poles=2"))),
    Change(
        "high-pass in, 250 Hz",
        "high_pass",
        _by(("highpass", "f=250:poles=2"), ("highpass", "f=250:poles=1")),
        (50, 125),
        -1,
    ),
    Change(
        "low-pass in, 3 kHz",
        "low_pass",
        _by(("lowpass", "f=3000:poles=2")),
        (5000, 10000),
        -1,
    ),
    Change(
        "nearer: +6 dB below 200 Hz", "distance", _by(("bass", "g=6:f=150:t=s:w=0.6")), (63, 100), 1
    ),
    Change(
        "further: −6 dB below 200 Hz",
        "distance",
        _by(("bass", "g=-6:f=150:t=s:w=0.6")),
        (63, 100),
        -1,
    ),
    Change("top end −6 dB", "top_end", _by(("treble", "g=-6:f=4000:t=s:w=0.6")), (6300, 10000), -1),
    Change("top end +6 dB", "top_end", _by(("treble", "g=6:f=4000:t=s:w=0.6")), (6300, 10000), 1),
    Change("second microphone added, 0.35 m further", "two_paths", _two_microphones),
    Change(
        "compressor in, 6 : 1",
        "compression",
        lambda x: filtered(
            _louder(x), ("acompressor", "threshold=0.06:ratio=6:attack=4:release=90:knee=3")
        ),
    ),
    Change(
        "driven 16 dB into a soft limit",
        "clipping",
        lambda x: filtered(_louder(x), ("volume", "16dB"), ("asoftclip", "type=tanh")),
    ),
    Change("8 dB less gain", "gain", _by(("volume", "-8dB"))),
)
# Told apart from those before, so that figures of before and after are of the same changes.
ADDED = (
    Change("microphone 12 cm off the middle of the cone", "angle", _off_the_axis),
    Change("60 m more of air", "air", _more_air),
    Change("18 cents flatter", "tuning", lambda x: resampled(x, RATE, RATE * 2 ** (18 / 1200))),
)
# No kind describes it: *none of these* is the answer.
OTHERS = (
    Change(
        "another loudspeaker (measured)",
        "none",
        lambda x: responses.apply(x, (responses.speakers("telling") or [np.ones(1)])[0]),
    ),
    Change("8 dB more round 700 Hz", "none", _by(("equalizer", "f=700:t=q:w=1.2:g=8"))),
)


def takes_of(source: Source) -> list[Sound]:
    """Four takes, or pieces, of one unchanged sound; nothing where it is too short for that."""
    if is_kit(source):
        return [pattern_of(source, take, 4.0) for take in range(TAKES)]
    pieces = np.array_split(excerpt_of(source, 20.0), TAKES)
    if len(pieces[0]) < _SHORTEST_S * RATE or any(np.abs(x).max() < 0.02 for x in pieces):
        return []
    return pieces


def heard_again(sound: Sound, seed: int) -> Sound:
    """The microphone's own noise, which is never twice the same; 65 dB below."""
    spin = np.random.default_rng(seed)
    level = np.sqrt((sound**2).mean()) * 10 ** (-65 / 20)
    return sound + level * spin.standard_normal(len(sound))
