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
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.registration import Floats, Lens, Registration

FOCAL = 0.88  # longer edges of the picture; what phones have is from 0.68 to 1.1 without cropping
TILTS = np.radians(np.arange(-16.0, 16.1, 4.0))  # by which the guess may be off
NEARER, CLOSER = math.radians(2.0), (1.0, 0.5, 0.25)
STRETCHES = (-0.4, -0.2, 0.0, 0.2, 0.4)  # and the nearness of the first camera
DOUBTED = 0.012  # of the evidence: what it costs to be off by a step of both, of each cap
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


class Vote(NamedTuple):
    """Of each cap its shift in pixels of the photo and its height in pixels of the reference; and
    what is added to the guess of how the cameras stood, as of `Rise.shifts`."""

    shifts: list[Floats]
    heights: list[float]
    extra: Floats


def voted(
    rise: Rise,
    caps: Sequence[Evidence],
    heights: Sequence[Floats],
    carried: dict[int, int] | None = None,
) -> Vote:
    """That on which all agree best; `heights` in pixels of the reference, those that the caps of
    each group may have; `carried`: by group, the group of caps on which those sit, than which they
    are higher."""
    if not caps:
        return Vote([], [], np.zeros(3))
    extra = np.array([(a, b, s) for a in TILTS for b in TILTS for s in STRETCHES])
    best, chosen, _ = _vote(rise, caps, heights, extra)
    for upper, lower in (carried or {}).items():
        low, step = chosen[lower], heights[lower][1] - heights[lower][0]
        above = np.arange(low + 0.25 * (heights[lower][-1] / 2.4), low + 14 * step, step)
        alone = [np.array([height]) for height in chosen]
        alone[upper] = above
        _, chosen, _ = _vote(rise, caps, alone, best[None, :])
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
        best, chosen, shifts = _vote(rise, caps, closer, best + near)
    return Vote(shifts, [chosen[cap.group] for cap in caps], best)


def _vote(
    rise: Rise, caps: Sequence[Evidence], heights: Sequence[Floats], extra: Floats
) -> tuple[Floats, list[float], list[Floats]]:
    """The best of `extra`, the height of each group with it, and the shift of each cap."""
    far = np.hypot(extra[:, 0], extra[:, 1]) / math.radians(8.0)
    total = DOUBTED * len(caps) * (far**2 + (extra[:, 2] / 0.4) ** 2)
    best: list[NDArray[np.int64]] = []
    kept: dict[int, Floats] = {}
    for group, choice in enumerate(heights):
        members = [i for i, cap in enumerate(caps) if cap.group == group]
        shifts = rise.shifts(np.array([caps[i].at for i in members]), choice, extra)
        cost = np.zeros(shifts.shape[:2])
        for j, i in enumerate(members):
            cost += caps[i].cost(shifts[:, :, j])
            kept[i] = shifts[:, :, j]
        best.append(np.asarray(cost.argmin(axis=1)))
        total = total + cost.min(axis=1)
    most = int(total.argmin())
    return (
        extra[most],
        [float(choice[best[group][most]]) for group, choice in enumerate(heights)],
        [kept[i][most, best[cap.group][most]] for i, cap in enumerate(caps)],
    )
