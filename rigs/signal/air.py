"""Air between stage and mix: speed of sound, absorption by ISO 9613-1, how two days differ."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rigs.signal._check import Q, not_negative, plain, within

STANDARD_PASCALS = 101_325.0
_T0 = 293.15
_TRIPLE_POINT = 273.16
_DB_PER_NEPER = 8.686  # as rounded in the standard

# Nominal name of each octave band and the exact midband it stands for, 1000 x 10^(0.3 k).
OCTAVE_BANDS = {
    nominal: 1000 * 10 ** (0.3 * k)
    for k, nominal in enumerate(("63", "125", "250", "500", "1k", "2k", "4k", "8k"), start=-4)
}


@dataclass(frozen=True)
class Air:
    """Temperature in C (-20 to 50), relative humidity in % (0 to 100) and static pressure in Pa.

    The pressure is that of the place, not a weather report's, which is brought to sea level:
    50 to 200 kPa.
    """

    celsius: float
    humidity: float
    pascals: float = STANDARD_PASCALS

    def __post_init__(self) -> None:
        within("celsius", self.celsius, -20, 50, "C")
        within("humidity", self.humidity, 0, 100, "%")
        within("pascals", self.pascals, 50e3, 200e3, "Pa")


def speed_of_sound(celsius: Q) -> Q:
    """Speed of sound in m/s at a temperature in C: 343.2 sqrt(T / 293.15 K).

    Source: ISO 9613-1, dry air. Range: -20 to 50 C. Moist air is faster: about 0.8 m/s at 20 C
    and 50 %, about 2.5 m/s at 30 C and 100 % (Cramer, JASA 93, 1993, from memory).
    Raises ValueError outside it.
    """
    kelvin = within("celsius", celsius, -20, 50, "C") + 273.15
    return plain(343.2 * (kelvin / _T0) ** 0.5)


def delay_seconds(distance: Q, celsius: float) -> Q:
    """Time in s sound takes over a distance in m at a temperature in C: d / c.

    Source, range and errors: speed_of_sound; distance 0 m or more (raises ValueError). Wind is
    left out.
    """
    return plain(not_negative("distance", distance) / speed_of_sound(celsius))


def molar_concentration(air: Air) -> float:
    """Molar concentration of water vapour in %: hr psat / p.

    Source: ISO 9613-1, annex B. Range: as Air, whose ValueError it raises. The standard states
    +-10 % for its absorption where this lies from 0.05 to 5 % (limits from memory).
    """
    exponent = -6.8346 * (_TRIPLE_POINT / (air.celsius + 273.15)) ** 1.261 + 4.6151
    return float(air.humidity * 10**exponent * STANDARD_PASCALS / air.pascals)


def absorption(frequency: Q, air: Air) -> Q:
    """Absorption of pure tones in dB/m at frequencies in Hz.

    Source: ISO 9613-1, equations 3 to 5. Range: 20 Hz to 20 kHz (its tables: 50 Hz to 10 kHz);
    fog, rain, smoke and haze are not covered. Raises ValueError outside it.
    """
    f2 = within("frequency", frequency, 20, 20e3, "Hz") ** 2
    kelvin, pressure = air.celsius + 273.15, air.pascals / STANDARD_PASCALS
    oxygen, nitrogen = _relaxation(air)
    t = kelvin / _T0
    classical = 1.84e-11 / pressure * t**0.5
    from_oxygen = 0.01275 * np.exp(-2239.1 / kelvin) / (oxygen + f2 / oxygen)
    from_nitrogen = 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen + f2 / nitrogen)
    return plain(_DB_PER_NEPER * f2 * (classical + t**-2.5 * (from_oxygen + from_nitrogen)))


def _relaxation(air: Air) -> tuple[float, float]:
    """Relaxation frequencies in Hz of oxygen and nitrogen."""
    h, pressure = molar_concentration(air), air.pascals / STANDARD_PASCALS
    t = (air.celsius + 273.15) / _T0
    oxygen = pressure * (24 + 4.04e4 * h * (0.02 + h) / (0.391 + h))
    nitrogen = pressure * t**-0.5 * (9 + 280 * h * np.exp(-4.170 * (t ** (-1 / 3) - 1)))
    return oxygen, float(nitrogen)


def loss_db(frequency: Q, distance: float, air: Air) -> Q:
    """Level in dB lost to the air over a distance in m, spreading not counted: alpha d.

    Source, range and errors: absorption; distance 0 m or more (raises ValueError).
    """
    return plain(absorption(frequency, air) * not_negative("distance", distance))


def band_losses(distance: float, air: Air) -> dict[str, float]:
    """Level in dB lost to the air per octave band, 63 Hz to 8 kHz, at the exact midbands.

    A band of a steep spectrum loses a little less than its midband. Source, range and errors: as
    loss_db (raises ValueError).
    """
    return {name: loss_db(hz, distance, air) for name, hz in OCTAVE_BANDS.items()}


def band_changes(
    distance_before: float, before: Air, distance_after: float, after: Air
) -> dict[str, float]:
    """Change of level in dB per octave band from one place and day to another, air only.

    Negative: less of the band arrives than before. Source, range and errors: as band_losses
    (raises ValueError).
    """
    old, new = band_losses(distance_before, before), band_losses(distance_after, after)
    return {name: old[name] - new[name] for name in OCTAVE_BANDS}
