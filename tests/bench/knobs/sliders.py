"""Faders and switches of drawn panels, read: the place of a cap on its slot, and the position.

python -m tests.bench.knobs.sliders [PANELS] [FIRST]

Panels of even number are those on which the limits were set.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from dataclasses import replace

import numpy as np

from rigs.knob_check.reading import read_panel
from rigs.knob_check.sliding import Slot, Switch
from tests.support.panels import draw
from tests.support.panels.camera import SIZE, Camera
from tests.support.panels.sliders import Slider

SAME, WRONG = 0.03, 0.06  # of a slot


def panel(rng: np.random.Generator) -> draw.Panel:
    """A panel by chance, with faders and switches on its right."""
    base = draw.panel(rng)
    dark = (0.07, 0.07, 0.08) if rng.random() < 0.7 else (0.8, 0.8, 0.78)
    light = (0.92, 0.92, 0.9) if dark[0] < 0.5 else (0.1, 0.1, 0.1)
    length = float(rng.uniform(40, 65))
    height = max(base.height, length + 45)
    made = []
    x = base.width + 12
    long, wide, high = (float(rng.uniform(*ends)) for ends in ((8, 14), (6, 11), (6, 11)))
    for _ in range(3):
        made.append(Slider("fader", (x, 25 + length), (x, 25), long, wide, high, dark, light))
        x += 24
    for kind, count in (("slide switch", 2), ("slide switch", 3), ("toggle", 2), ("toggle", 3)):
        way = float(rng.uniform(3.5, 5)) * (count - 1) if kind == "slide switch" else 8.0
        y = 30 + 38 * (kind == "toggle")
        colour = (0.75, 0.75, 0.76) if kind == "toggle" else dark
        if kind == "slide switch":
            made.append(Slider(kind, (x, y + way), (x, y), 3.2, 4.5, 3.0, colour, light, count))
        else:
            made.append(
                Slider(kind, (x, y + way), (x, y), 3.0, 3.4, 9.0, colour, (0.95,) * 3, count)
            )
        x += 20
        if kind == "slide switch" and count == 3:
            x -= 40
    return replace(base, width=x + 32, height=max(height, 95.0), sliders=tuple(made))


def place(rng: np.random.Generator, slider: Slider) -> float:
    if slider.positions:
        return float(rng.integers(slider.positions)) / (slider.positions - 1)
    return float(rng.uniform(0, 1))


def marks(slider: Slider, camera: Camera, places: float) -> list[tuple[float, float]]:
    """What a hand marks on the reference: the ends of the slot, or where a switch's tip would be
    in each position."""
    if not slider.positions:
        points = [camera.sees(*slider.at(end), 0.0) for end in (0, 1)]
    else:
        points = [
            camera.sees(*slider.at(i / (slider.positions - 1)), slider.height)
            for i in range(slider.positions)
        ]
    return [(x / SIZE[0], y / SIZE[1]) for x, y in points]


def read(number: int, counts: dict[str, Counter[str]]) -> None:
    rng = np.random.default_rng([20261202, number])
    made = panel(rng)
    turns = draw.settings(rng, made)
    before = [place(rng, slider) for slider in made.sliders]
    first = replace(draw.from_front(rng, made), seed=number)
    reference = draw.photograph(made, turns, first, before)
    for _ in range(2):
        after = [
            p if rng.random() < 0.4 else place(rng, s)
            for p, s in zip(before, made.sliders, strict=True)
        ]
        taking = replace(draw.by_hand(rng, made), cable=False)
        photo = draw.photograph(made, turns, taking, after)
        shown = [marks(s, first.camera, p) for s, p in zip(made.sliders, before, strict=True)]
        faders = [i for i, s in enumerate(made.sliders) if not s.positions]
        switches = [i for i, s in enumerate(made.sliders) if s.positions]
        got = read_panel(
            reference.jpeg,
            photo.jpeg,
            slots=[Slot(*shown[i][0], *shown[i][1]) for i in faders],
            switches=[
                Switch(tuple(shown[i]), round(before[i] * (made.sliders[i].positions - 1)))
                for i in switches
            ],
        )
        off_axis = f"{10 * int(taking.camera.off_axis // 10)}° and more"
        for i, slot in zip(faders, got.slots, strict=True):
            off = None if slot.now is None else abs(slot.now - after[i])
            word = (
                str(slot.reason)
                if off is None
                else "found"
                if off <= SAME
                else "near"
                if off <= WRONG
                else "wrong"
            )
            for key in ("fader", f"fader, {off_axis}", f"fader, {taking.light}"):
                counts[key][word] += 1
        for i, state in zip(switches, got.switches, strict=True):
            slider = made.sliders[i]
            true = round(after[i] * (slider.positions - 1))
            word = (
                str(state.reason)
                if state.position is None
                else "found"
                if state.position == true
                else "wrong"
            )
            name = f"{slider.kind}, {slider.positions} positions"
            for key in (name, f"switch, {off_axis}", f"switch, {taking.light}"):
                counts[key][word] += 1


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for half, name in enumerate(("set", "told")):
        counts: dict[str, Counter[str]] = defaultdict(Counter)
        for number in range(first + half, first + many, 2):
            read(number, counts)
        print(f"\n| {name} | tries | found, % | near | wrong | not told, and why |")
        print("|---|--:|--:|--:|--:|---|")
        for key in sorted(counts):
            of = counts[key]
            tries = sum(of.values())
            why = "; ".join(
                f"{n} {word}"
                for word, n in of.most_common()
                if word not in ("found", "near", "wrong")
            )
            share = 100 * of["found"] / max(1, tries)
            print(f"| {key} | {tries} | {share:.0f} | {of['near']} | {of['wrong']} | {why} |")


if __name__ == "__main__":
    main()
