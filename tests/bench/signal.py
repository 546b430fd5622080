"""A curve of 1,000 points in one call, beside the same in a loop.

python -m tests.bench.signal
"""

from __future__ import annotations

import statistics
import timeit
from collections.abc import Callable
from typing import Any

import numpy as np

from rigs.signal.air import Air, absorption
from rigs.signal.filters import butterworth_db
from rigs.signal.pickups import PickupCircuit, response_db

POINTS = np.geomspace(25, 18_000, 1000)
PICKUP = PickupCircuit(henries=4.5, ohms=8000, farads=120e-12, cable_farads=700e-12, input_ohms=1e6)
ROOM = Air(20.0, 50.0)
CURVES: dict[str, Callable[[Any], Any]] = {
    "pickup response": lambda hertz: response_db(hertz, PICKUP),
    "high-pass": lambda hertz: butterworth_db(hertz, 80.0, 2),
    "air absorption": lambda hertz: absorption(hertz, ROOM),
}


def median_ms(call: Callable[[], Any], repeat: int) -> float:
    call()
    return statistics.median(timeit.repeat(call, number=1, repeat=repeat)) * 1000


def main() -> None:
    print("| curve | one call, ms | loop, ms | ratio |\n|---|---|---|---|")
    for name, curve in CURVES.items():
        whole = median_ms(lambda curve=curve: curve(POINTS), 200)
        loop = median_ms(lambda curve=curve: [curve(float(hertz)) for hertz in POINTS], 20)
        print(f"| {name} | {whole:.3f} | {loop:.2f} | {loop / whole:.0f} |")


if __name__ == "__main__":
    main()
