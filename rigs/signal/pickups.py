"""A passive pickup with its controls, cable and input: response, resonance, what a change does.

The model is one coil: source, R and L in series; own capacitance, tone branch (R and C in series)
and volume potentiometer across it; cable capacitance and input resistance on the wiper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rigs.signal._check import Q, finite, not_negative, plain, positive, refuse

Phasor = NDArray[np.complexfloating[Any, Any]]

LOWEST_HZ = 10.0
HIGHEST_HZ = 100e3
# Six grids of 400 points, each over two steps of the one before (see `resonance`).
_GRID = 400
_FINER = 6


@dataclass(frozen=True)
class PickupCircuit:
    """The values of a pickup circuit in H, ohm and F; None for a control or load that is not there.

    volume is the share of the track below the wiper, above 0 (at 0 nothing comes out) to 1 (full
    up). tone_ohms is what the tone control leaves in series with tone_farads.
    """

    henries: float
    ohms: float
    farads: float
    cable_farads: float = 0.0
    input_ohms: float | None = None
    volume_ohms: float | None = None
    volume: float = 1.0
    tone_ohms: float = 0.0
    tone_farads: float | None = None

    def __post_init__(self) -> None:
        for name in ("henries", "ohms", "farads"):
            positive(name, getattr(self, name))
        for name in ("cable_farads", "tone_ohms"):
            not_negative(name, getattr(self, name))
        for name in ("input_ohms", "volume_ohms", "tone_farads"):
            if getattr(self, name) is not None:
                positive(name, getattr(self, name))
        if not 0 < finite("volume", self.volume) <= 1:
            refuse("volume", self.volume, "above 0 and at most 1")


@dataclass(frozen=True)
class Resonance:
    """peak_hz is None where nothing rises above the 10 Hz level; peak_db and low_db re source;
    minus3_hz is the upper point 3.0 dB below the 10 Hz level, None where beyond 100 kHz."""

    peak_hz: float | None
    peak_db: float
    low_db: float
    minus3_hz: float | None


def undamped_resonance(circuit: PickupCircuit) -> float:
    """Resonance in Hz without losses: 1 / (2 pi sqrt(L (C + Ccable))). The peak lies below it.

    Source: circuit theory. Range: as PickupCircuit, whose ValueError it raises.
    """
    farads = circuit.farads + circuit.cable_farads
    return 1 / (2 * math.pi * math.sqrt(circuit.henries * farads))


def response_db(frequency: Q, circuit: PickupCircuit) -> Q:
    """Level in dB at the input re the coil's source voltage at frequencies in Hz.

    Source: nodal analysis of the circuit above. Range: frequency above 0 Hz; eddy currents, a
    second coil and the strings are not in the model. Raises ValueError outside it.
    """
    # The Laplace variable s = jw: a capacitance admits s C, an inductance impedes s L.
    s: Phasor = 2j * np.pi * np.asarray(positive("frequency", frequency))
    # An input of which nothing is known draws no current.
    conductance = 1 / circuit.input_ohms if circuit.input_ohms else 0.0
    below = conductance + s * circuit.cable_farads
    divider, across = _volume(circuit, below)
    across = across + s * circuit.farads
    if circuit.tone_farads is not None:
        across = across + 1 / (circuit.tone_ohms + 1 / (s * circuit.tone_farads))
    transfer = divider / (1 + (circuit.ohms + s * circuit.henries) * across)
    return plain(20 * np.log10(np.abs(transfer)))


def _volume(circuit: PickupCircuit, below: Phasor) -> tuple[Phasor, Phasor]:
    """Divider ratio and admittance of the volume control, loaded with admittance `below`."""
    if circuit.volume_ohms is None:
        return np.ones_like(below), below
    # The track below the wiper lies beside cable and input, the track above it in series with both.
    wiper = below + 1 / (circuit.volume * circuit.volume_ohms)
    above = (1 - circuit.volume) * circuit.volume_ohms
    return 1 / (1 + above * wiper), wiper / (1 + above * wiper)


def difference_db(frequency: Q, before: PickupCircuit, after: PickupCircuit) -> Q:
    """Change of level in dB from one circuit to another: what a longer cable or another input does.

    Source, range and errors: as response_db (raises ValueError).
    """
    return plain(response_db(frequency, after) - response_db(frequency, before))


def resonance(circuit: PickupCircuit) -> Resonance:
    """Peak, level at 10 Hz and upper -3 dB point, searched from 10 Hz to 100 kHz.

    Source: response_db on a grid refined six times, good to 1e-6 of the frequency; ngspice agrees.
    Range and errors: as PickupCircuit (raises ValueError).
    """
    low = response_db(LOWEST_HZ, circuit)
    peak_hz, peak_db = _peak(circuit)
    # The response falls from the peak on, so the point 3 dB down is looked for above it.
    start = max(peak_hz, LOWEST_HZ)
    # A coil damped enough has its maximum at the lowest frequency: no peak that one could hear.
    has_peak = peak_db > low + 1e-6 and peak_hz > LOWEST_HZ
    minus3 = _falls_to(low - 3.0, start, circuit)
    return Resonance(peak_hz if has_peak else None, peak_db, low, minus3)


def _peak(circuit: PickupCircuit) -> tuple[float, float]:
    low, high = LOWEST_HZ, HIGHEST_HZ
    for _ in range(_FINER):
        grid = np.geomspace(low, high, _GRID)
        levels = response_db(grid, circuit)
        top = int(np.argmax(levels))
        # The true maximum lies between the neighbours of the highest point.
        low, high = grid[max(top - 1, 0)], grid[min(top + 1, _GRID - 1)]
    return float(grid[top]), float(levels[top])


def _falls_to(level: float, low: float, circuit: PickupCircuit) -> float | None:
    high = HIGHEST_HZ
    for _ in range(_FINER):
        grid = np.geomspace(low, high, _GRID)
        under = np.flatnonzero(response_db(grid, circuit) <= level)
        if not under.size:
            return None
        low, high = grid[max(under[0] - 1, 0)], grid[under[0]]
    return float(high)
