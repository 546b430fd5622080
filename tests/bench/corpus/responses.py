"""What rooms, loudspeakers and microphones do: measured by others, or by another's code."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
import soundfile
from scipy.signal import oaconvolve

from tests.bench.corpus import packages
from tests.bench.corpus.sources import RATE, Sound, half_of, resampled

AIR_M_S = 343.0


class Room(NamedTuple):
    """Responses from one source to some microphones, and how far each is away (metres)."""

    responses: list[Sound]
    metres: list[float]


def apply(sound: Sound, response: Sound) -> Sound:
    return np.asarray(oaconvolve(sound, response)[: len(sound)])


@lru_cache(maxsize=2)
def speakers(half: str) -> list[Sound]:
    """Measured responses of loudspeakers as a microphone heard them, begun at their peak, which
    points up."""
    out = []
    for path in packages.sound_files("guitarix-common"):
        if path.parent.name != "amps" or half_of(path.name) != half:
            continue
        heard, rate = soundfile.read(path, always_2d=True)
        response = resampled(heard[:, 0], rate, RATE)[: RATE // 8]
        at = int(np.argmax(np.abs(response)))
        # Where the largest swing the other way is nearly as large nobody can say which way it is.
        if -(response * np.sign(response[at])).min() > 0.8 * abs(response[at]):
            continue
        response = response[max(0, at) :] / response[at]
        out.append(np.asarray(response / np.sqrt((response**2).sum())))
    return out


@lru_cache(maxsize=1)
def tails() -> list[Sound]:
    """Measured responses of a hall and a street, of energy 1, without what arrives first."""
    out = []
    for package, name in (
        ("guitarix-common", "greathall.wav"),
        ("jconvolver-config-files", "street2-L.wav"),
        ("jconvolver-config-files", "street2-R.wav"),
    ):
        for path in packages.sound_files(package):
            if path.name == name:
                heard, rate = soundfile.read(path, always_2d=True)
                tail = resampled(heard[:, 0], rate, RATE)
                begins = int(np.argmax(np.abs(tail))) + RATE // 200
                tail = tail[begins : begins + 2 * RATE]
                out.append(np.concatenate([np.zeros(RATE // 200), tail / np.sqrt((tail**2).sum())]))
    return out


def image_source_room(spin: np.random.Generator, metres: list[float], spaced: float = 0.0) -> Room:
    """A box with absorbing walls by pyroomacoustics' image sources (order 4).

    `metres` is how far each microphone stands; with `spaced` they stand that far apart, across.
    """
    import pyroomacoustics  # noqa: PLC0415 - only these benches need it

    size = spin.uniform([7, 6, 3.5], [14, 10, 7])
    room = pyroomacoustics.ShoeBox(
        size,
        fs=RATE,
        materials=pyroomacoustics.Material(spin.uniform(0.25, 0.7)),
        max_order=4,
    )
    source = size * spin.uniform(0.3, 0.4, 3)
    places = []
    for number, far in enumerate(metres):
        across = (number - 0.5) * spaced
        places.append(source + np.array([far, across, 0.05 * number]))
    room.add_source(source)
    room.add_microphone_array(np.array(places).T)
    room.compute_rir()
    apart = [float(np.linalg.norm(place - source)) for place in places]
    return Room([np.asarray(each[0]) for each in room.rir], apart)
