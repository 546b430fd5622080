"""How caps that stand off a panel shift when it is seen from the side. Pure.

Two photos of a plane tell how the cameras stood to each other, if their focal lengths are guessed
(for what follows: Hartley and Zisserman, “Multiple view geometry”, plane and parallax; from
memory). A place `height` above the plane lies in the second photo towards the picture of the first
camera's own place; how far, grows with the height. What the guess leaves open, and the heights,
are then voted for by all caps of a panel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.registration import Floats, Lens, Registration

FOCAL = 0.88  # longer edges of the picture; what phones have is from 0.68 to 1.1 without cropping
TILTS = np.radians(np.arange(-16.0, 16.1, 4.0))  # by which the guess may be off
NEARER, CLOSER = math.radians(2.0), (1.0, 0.5, 0.25)
STRETCHES = (-0.4, -0.2, 0.0, 0.2, 0.4)  # and the nearness of the first camera
DOUBTED = 0.012  # of the evidence: what it costs to be off by a step of both, of each cap
STRANGE = 0.03  # what a height costs, of each cap, times the square of the logarithm of how usual
USUAL_LEAST = 0.04  # of what is usual: what is lower is as strange
HIGHER = (0.35, 0.5, 0.7, 1.0, 1.4, 2.0)  # times as high as usual, all caps of a panel
ELSEWHERE, OTHERS = 3.0, 2  # steps of coarse evidence; and how many other heights are tried
WORST = 0.5  # what one cap that fits badly may cost


@dataclass(frozen=True)
class Rise:
    """Which way heights go in the photo: `towards` is the picture of the first camera's place,
    `depth` what the plane does to (x, y, 1), `distance` how far that camera was, in pixels of the
    reference, and `middle` where it was over, (2,) there. What is added to the guess, `extra`, are
    two tilts in radians and a stretch."""

    plane: Floats
    lens: Lens
    towards: Floats
    across: Floats  # 3 × 2: what a tilt about either axis adds, a radian
    along: Floats  # what being nearer adds
    distance: float
    middle: Floats

    def own_shift(self, at: Floats, height: float, extra: Floats) -> Floats:
        """Pixels of the reference by which what stands `height` over (x, y) is shifted on the
        reference itself: away from the place over which its camera stood."""
        return np.asarray(height * (at - self.middle - self.distance * extra[:2]) / self.distance)

    def shifts(self, at: Floats, heights: Floats, extra: Floats) -> Floats:
        """Pixels of the photo by which places of the reference, shape (n, 2), shift that stand
        `heights` (m) pixels of the reference above the panel, for each of `extra` (k, 3): two
        tilts and a stretch. Shape (k, m, n, 2)."""
        base = np.column_stack([at, np.ones(len(at))]) @ self.plane.T  # (n, 3)
        seen = base[:, :2] / base[:, 2:]
        towards = self.towards + extra @ np.column_stack([self.across, self.along]).T  # (k, 3)
        part = (heights / (self.distance - heights))[None, :, None]
        toward = towards[:, None, None, :]
        depth = base[None, None, :, 2] + part * toward[..., 2]
        off = toward[..., :2] - seen[None, None] * toward[..., 2:]
        raised = seen + part[..., None] * off / depth[..., None]
        return np.asarray(self.lens.bent(raised) - self.lens.bent(seen))


def rise_of(registration: Registration, reference: tuple[int, ...], photo: tuple[int, ...]) -> Rise:
    """Sizes are (height, width)."""
    plane = registration.plane
    middle = np.array([reference[1] / 2, reference[0] / 2, 1.0])
    plane = plane / float((plane @ middle)[2])
    distance = FOCAL * max(reference)
    focal = FOCAL * max(photo)
    lens = np.array([[focal, 0, photo[1] / 2], [0, focal, photo[0] / 2], [0, 0, 1.0]])
    right, down = np.linalg.solve(lens, plane[:, :2]).T
    both = math.sqrt(float(np.linalg.norm(right) * np.linalg.norm(down)))
    back = np.cross(right, down) / both
    along = distance * (lens @ back)
    across = distance * plane[:, :2]
    return Rise(
        plane, registration.lens, plane @ middle - along, across, -along, distance, middle[:2]
    )


@dataclass(frozen=True)
class Evidence:
    """What speaks for each shift of one cap: `unlike` on a square grid, its middle at the shift
    `centre` (pixels of the photo), its steps `step` (2 × 2, pixels). `group`: caps alike in
    height."""

    at: Floats
    group: int
    unlike: NDArray[np.float32]
    centre: Floats
    step: Floats

    def tolerant(self) -> Evidence:
        """The same, where what lies a step beside speaks for a shift as well."""
        import cv2

        return replace(self, unlike=np.asarray(cv2.erode(self.unlike, np.ones((3, 3), np.uint8))))

    def unlike_at(self, shift: Floats) -> float:
        """What speaks against one shift, (2,)."""
        return self.against(shift) + float(self.unlike.min())

    def against(self, shift: Floats) -> float:
        """The same, over what speaks against the best one, at most WORST."""
        return float(self.cost(shift[None, None])[0, 0])

    def cost(self, shifts: Floats) -> Floats:
        """Over the least, at most WORST; of shifts (…, 2)."""
        import cv2

        reach = self.unlike.shape[0] // 2
        at = ((shifts - self.centre) @ np.linalg.inv(self.step).T + reach).astype(np.float32)
        over = np.minimum(self.unlike - self.unlike.min(), np.float32(WORST))
        mode, worst = cv2.BORDER_CONSTANT, (WORST,) * 4
        return np.asarray(
            cv2.remap(over, at, None, cv2.INTER_LINEAR, borderMode=mode, borderValue=worst)
        )


class Carried(NamedTuple):
    """The group of caps on which others sit, and between how many pixels of the reference those
    are higher."""

    group: int
    gap: tuple[float, float]


class Vote(NamedTuple):
    """Of each cap its shift in pixels of the photo and its height in pixels of the reference; and
    what is added to the guess of how the cameras stood, as of `Rise.shifts`."""

    shifts: list[Floats]
    heights: list[float]
    extra: Floats
    unlike: float  # what speaks against it, of all caps


def voted(
    rise: Rise,
    caps: Sequence[Evidence],
    heights: Sequence[Floats],
    usual: Sequence[float],
    carried: dict[int, Carried] | None = None,
    highs: Sequence[float] = HIGHER,
) -> Vote:
    """That on which all agree best; `heights` in pixels of the reference, those that the caps of
    each group may have, `usual` which of them is most so; `carried`: by group, on what those sit;
    `highs`: as of HIGHER."""
    if not caps:
        return Vote([], [], np.zeros(3), 0.0)
    extra = np.array([(a, b, s) for a in TILTS for b in TILTS for s in STRETCHES])
    best, chosen, _ = _vote(rise, caps, heights, usual, extra, highs)
    for upper, below in (carried or {}).items():
        alone = [np.array([height]) for height in chosen]
        alone[upper] = chosen[below.group] + np.linspace(*below.gap, 12)
        _, chosen, _ = _vote(rise, caps, alone, usual, best[None, :], highs)
    gaps = [float(each[1] - each[0]) for each in heights]
    for part in CLOSER:
        steps = (-part, 0.0, part)
        near = np.array(
            [(a * NEARER, b * NEARER, s * 0.1) for a in steps for b in steps for s in steps]
        )
        closer = [
            np.linspace(max(0.0, h - part * gap), h + part * gap, 9)
            for h, gap in zip(chosen, gaps, strict=True)
        ]
        best, chosen, shifts = _vote(rise, caps, closer, usual, best + near, highs)
    unlike = sum(cap.unlike_at(shift) for cap, shift in zip(caps, shifts, strict=True))
    return Vote(shifts, [chosen[cap.group] for cap in caps], best, unlike)


def other_heights(
    rise: Rise, caps: Sequence[Evidence], heights: Floats, vote: Vote, of: Sequence[int]
) -> list[Vote]:
    """Votes that differ in the height of one group alone, whose caps are `of`: where that would
    suit them better than a little lower or higher, and shift them elsewhere; the best first."""
    shifts = rise.shifts(np.array([caps[i].at for i in of]), heights, vote.extra[None, :])[0]
    cost = sum(caps[i].cost(shifts[None, :, j])[0] for j, i in enumerate(of))
    beside = np.pad(np.asarray(cost), 1, constant_values=np.inf)
    least = [m for m in range(len(heights)) if beside[m + 1] <= min(beside[m], beside[m + 2])]
    out = list[Vote]()
    for m in sorted(least, key=lambda m: float(beside[m + 1])):
        steps = [
            np.linalg.solve(caps[i].step, shifts[m, j] - vote.shifts[i]) for j, i in enumerate(of)
        ]
        if max(float(np.linalg.norm(step)) for step in steps) < ELSEWHERE:
            continue
        other, high = [*vote.shifts], [*vote.heights]
        for j, i in enumerate(of):
            other[i], high[i] = shifts[m, j], float(heights[m])
        out.append(vote._replace(shifts=other, heights=high))
    return out[:OTHERS]


def _vote(
    rise: Rise,
    caps: Sequence[Evidence],
    heights: Sequence[Floats],
    usual: Sequence[float],
    extra: Floats,
    highs: Sequence[float],
) -> tuple[Floats, list[float], list[Floats]]:
    """The best of `extra`, the height of each group with it, and the shift of each cap."""
    far = np.hypot(extra[:, 0], extra[:, 1]) / math.radians(8.0)
    doubt = DOUBTED * len(caps) * (far**2 + (extra[:, 2] / 0.4) ** 2)
    costs = list[Floats]()
    kept: dict[int, Floats] = {}
    members = [[i for i, cap in enumerate(caps) if cap.group == g] for g in range(len(heights))]
    for of, choice in zip(members, heights, strict=True):
        shifts = rise.shifts(np.array([caps[i].at for i in of]), choice, extra)
        cost = np.zeros(shifts.shape[:2])
        for j, i in enumerate(of):
            cost += caps[i].cost(shifts[:, :, j])
            kept[i] = shifts[:, :, j]
        costs.append(cost)
    least, most, best = math.inf, 0, list[NDArray[np.int64]]()
    # Caps of one panel are all rather high, or all rather low.
    for high in highs:
        total, chosen = doubt + STRANGE * len(caps) * math.log(high) ** 2, list[Any]()
        for of, cost, choice, most_usual in zip(members, costs, heights, usual, strict=True):
            odd = np.log(np.maximum(choice / (most_usual * high), USUAL_LEAST)) ** 2
            whole = cost + STRANGE * len(of) * odd
            chosen.append(np.asarray(whole.argmin(axis=1)))
            total = total + whole.min(axis=1)
        if float(total.min()) < least:
            least, most, best = float(total.min()), int(total.argmin()), chosen
    return (
        extra[most],
        [float(choice[best[group][most]]) for group, choice in enumerate(heights)],
        [kept[i][most, best[cap.group][most]] for i, cap in enumerate(caps)],
    )
