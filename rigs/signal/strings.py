"""String tension from tuning, speaking length and mass, and what a retune or a gauge changes."""

from __future__ import annotations

import math
from collections.abc import Iterable

from rigs.signal._check import Q, plain, positive, within

# kg/m^3. Steel agrees with published plain-string charts to 0.6 %; the others are from memory and
# differ by maker. For a wound string no density does: its mass per length has to be looked up.
DENSITIES = {"plain steel": 7850.0, "nylon": 1140.0, "fluorocarbon": 1780.0}

KG_PER_METRE_PER_LB_PER_INCH = 0.45359237 / 0.0254
NEWTONS_PER_POUND_FORCE = 0.45359237 * 9.80665


def tension(frequency: Q, length: float, mass_per_metre: float) -> Q:
    """Tension in N of a string: mu (2 L f)^2.

    frequency in Hz, speaking length in m, mass per length in kg/m. Source: Mersenne; Fletcher and
    Rossing, The Physics of Musical Instruments, ch. 2 (from memory). Range: all above 0; an ideal
    string at rest, so stiffness and hard playing are left out. Raises ValueError outside it.
    """
    speed = 2 * positive("length", length) * positive("frequency", frequency)
    return plain(positive("mass_per_metre", mass_per_metre) * speed**2)


def frequency_at(newtons: Q, length: float, mass_per_metre: float) -> Q:
    """Frequency in Hz of a string under a tension in N: sqrt(T / mu) / (2 L).

    Source, range and errors: tension solved for f (raises ValueError).
    """
    wave = (positive("newtons", newtons) / positive("mass_per_metre", mass_per_metre)) ** 0.5
    return plain(wave / (2 * positive("length", length)))


def mass_of_plain(diameter: Q, density: float) -> Q:
    """Mass per length in kg/m of a plain round string: pi d^2 rho / 4.

    diameter in m (0.010 in is 0.000254 m), density in kg/m^3. Source: geometry. Range: both above
    0, plain strings only. Raises ValueError outside it.
    """
    area = math.pi * positive("diameter", diameter) ** 2 / 4
    return plain(area * positive("density", density))


def mass_of_material(diameter: Q, material: str) -> Q:
    """Mass per length in kg/m of a plain round string of a material in DENSITIES.

    Source: as mass_of_plain; steel within 0.6 % of charts, others from memory. Range: the names
    in DENSITIES. Raises ValueError otherwise, as for a wound string, whose mass must be looked up.
    """
    if material not in DENSITIES:
        raise ValueError(f"material must be one of {', '.join(DENSITIES)}, got {material!r}")
    return mass_of_plain(diameter, DENSITIES[material])


def tension_after_retune(newtons: Q, steps: float) -> Q:
    """Tension in N after a retune by semitones, down being negative: T 2^(2 n / 12).

    Source: tension in proportion to the square of the frequency. Range: tension above 0 N,
    -48 to 48 semitones. Raises ValueError outside it.
    """
    # n semitones are a ratio of 2^(n/12) in frequency, and tension goes with its square.
    return plain(positive("newtons", newtons) * 2.0 ** (within("steps", steps, -48, 48) / 6))


def mass_for_same_tension(mass_per_metre: Q, steps: float) -> Q:
    """Mass per length in kg/m that keeps the tension after a retune: mu 2^(-2 n / 12).

    Works for wound strings too. Source: tension solved for mu at fixed T and L. Range: mass above
    0, -48 to 48 semitones. Raises ValueError outside it.
    """
    scale = 2.0 ** (-within("steps", steps, -48, 48) / 6)
    return plain(positive("mass_per_metre", mass_per_metre) * scale)


def gauge_for_tension(newtons: Q, frequency: float, length: float, density: float) -> Q:
    """Diameter in m of the plain string that has this tension in N at this pitch and length.

    Formula: sqrt(4 T / (pi rho)) / (2 L f). Source: tension and mass_of_plain solved for d.
    Range: all above 0, plain strings only; the nearest gauge sold will differ.
    Raises ValueError outside it.
    """
    speed = 2 * positive("length", length) * positive("frequency", frequency)
    area = positive("newtons", newtons) / (positive("density", density) * speed**2)
    return plain((4 * area / math.pi) ** 0.5)


def total_tension(newtons: Iterable[float]) -> float:
    """Sum in N of the tensions of a set: what the neck and bridge hold.

    Source: sum of parallel forces. Range: one string or more, each above 0 N.
    Raises ValueError outside it.
    """
    pulls = [positive("newtons", pull) for pull in newtons]
    if not pulls:
        raise ValueError("newtons must name at least one string, got none")
    return math.fsum(pulls)
