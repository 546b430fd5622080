"""The likeliest turns of one cap about its place, made exact. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check import marking, refining
from rigs.knob_check.comparing import FINE, REACH, grid_of, is_beside
from rigs.knob_check.layers import Layers, Picture
from rigs.knob_check.looks import shape_of
from rigs.knob_check.placing import Search, marks_about

HELD, TURNS = 3, 5  # pixels of FINE about it, and how many turns are tried there
NEAR = 0.05  # radii by which the place may be off at first
AGAIN = 0.12  # radii beside where all caps would have it: its turns are looked for again
BY_MARK = 0.4  # of `Fit.alike`: how much it counts that the mark alone says the same
RIVALS = 3  # turns that are made exact again where all caps have it
APART_DEG = 9.0  # another turn, no longer the same one


@dataclass(frozen=True)
class Fitted:
    """The likeliest turns of a cap, the best first; and whether it is round."""

    search: Search
    fits: list[refining.Fit]
    is_round: bool
    template: refining.Template

    @property
    def best(self) -> refining.Fit:
        return self.fits[0]

    @property
    def ahead(self) -> float:
        """As of `found.Found`."""
        best = self.fits[0]
        by = int(best.alike.argmax())
        others = [float(fit.alike[by]) for fit in self.fits if _away(fit.turn, best.turn)]
        return _left(max(others, default=0.0)) - _left(float(best.alike[by]))


def fitted(
    reference: Layers,
    photo: Layers,
    search: Search,
    where: refining.Expected,
    before: Fitted | None = None,
) -> Fitted:
    """The turns about the place `where`; those of `before` made exact there, if it is near."""
    if before is not None:
        off = search.back @ (before.best.centre - where.centre)
        if math.hypot(*off) <= AGAIN:
            return _again(photo, replace(before, search=search), where)
    circle = search.circle
    at, round_it = (circle.x, circle.y), np.eye(2) * circle.radius
    room = math.ceil(refining.PIXELS * (REACH - 1.0))
    leaning = search.leaning / circle.radius
    shape = shape_of(reference, circle, refining.PIXELS, refining.PIXELS + room, leaning)
    own = reference.patch(at, round_it, refining.PIXELS, refining.PIXELS)
    cap = np.ones(own.shape, bool) if shape is None else shape[room:-room, room:-room]
    template = refining.Template.of(own, cap, circle.inner)
    fits = [
        _fit(photo, search, template, (centre, turn), where)
        for turn, centre in _starts(reference, photo, search, where.centre)
    ]
    best = max(fits, key=_alike)
    # What is as long on both sides looks much the same after half a turn.
    fits.append(_fit(photo, search, template, (best.centre, best.turn + 180.0), where))
    return Fitted(search, sorted(fits, key=_alike, reverse=True), shape is None, template)


def looked_again(
    reference: Layers, photo: Layers, before: Fitted, where: refining.Expected
) -> tuple[Fitted, marking.Second]:
    """The same where all caps have it, and what the mark alone says there; what it says is tried
    as a turn, too."""
    now = _again(photo, before, where)
    second = _second(reference, photo, now.search, where.centre)
    fits = now.fits
    if second.clear > 0 and all(_away(each.turn, second.turn) for each in fits):
        fits = [*fits, _fit(photo, now.search, now.template, (where.centre, second.turn), where)]
    # Of a ring about another cap most that is seen is edges and walls: its mark counts more.
    more = BY_MARK * second.clear if now.search.circle.inner else 0.0

    def worth(fit: refining.Fit) -> float:
        return _alike(fit) + (0.0 if _away(fit.turn, second.turn) else more)

    return replace(now, fits=sorted(fits, key=worth, reverse=True)), second


def _again(photo: Layers, before: Fitted, where: refining.Expected) -> Fitted:
    chosen = [before.best]
    for each in before.fits:
        if len(chosen) < RIVALS and all(_away(each.turn, kept.turn) for kept in chosen):
            chosen.append(each)
    fits = [
        _fit(
            photo,
            before.search,
            before.template,
            (where.centre, each.turn),
            where,
            refining.FEWER,
        )
        for each in chosen
    ]
    return replace(before, fits=sorted(fits, key=_alike, reverse=True))


def _fit(
    photo: Layers,
    search: Search,
    template: refining.Template,
    start: tuple[NDArray[np.float64], float],
    where: refining.Expected,
    steps: int = refining.STEPS,
) -> refining.Fit:
    circle = search.circle

    def look(centre: Any, slope: Any) -> Picture:
        return photo.patch(centre, slope, refining.PIXELS, refining.PIXELS)

    def free(places: NDArray[np.float64], turned: NDArray[np.float64]) -> NDArray[np.bool_]:
        on_photo = is_beside(turned, circle.inner, search.under)
        return on_photo & is_beside(places, circle.inner, search.over)

    centre, turn = start
    return refining.refined(template, look, (centre, search.raised, turn), free, where, steps)


def _alike(fit: refining.Fit) -> float:
    return float(fit.alike.max())


def _second(
    reference: Layers, photo: Layers, search: Search, centre: NDArray[np.float64]
) -> marking.Second:
    circle = search.circle
    at, round_it = (circle.x, circle.y), np.eye(2) * circle.radius

    def look(right: float, down: float) -> Picture:
        beside = centre + search.raised @ [right, down]
        return photo.patch(beside, search.raised, marking.PIXELS, marking.HALF)

    def free(under: NDArray[np.float64]) -> marking.Free:
        return lambda places: is_beside(places, circle.inner, under)

    own = reference.patch(at, round_it, marking.PIXELS, marking.HALF)
    return marking.second_look(own, look, (free(search.over), free(search.under)), photo.burnt)


def _starts(
    reference: Layers, photo: Layers, search: Search, expected: NDArray[np.float64]
) -> list[tuple[float, NDArray[np.float64]]]:
    """The turns that the mark speaks for most, each with its place, near to where all caps of the
    panel have this one."""
    turns = grid_of(FINE, 3.0, 0.9).turns
    unlike = marks_about(reference, photo, search, expected, HELD)
    axis = np.arange(-HELD, HELD + 1) / FINE
    far = (axis[:, None] ** 2 + axis[None, :] ** 2).reshape(-1)
    unlike = unlike + (0.1 * far / NEAR**2).astype(np.float32)
    best, places = unlike.min(axis=1), unlike.argmin(axis=1)
    out = list[tuple[float, NDArray[np.float64]]]()
    for _ in range(TURNS):
        most = int(best.argmin())
        down, right = divmod(int(places[most]), 2 * HELD + 1)
        step = np.array([right - HELD, down - HELD]) / FINE
        out.append((float(turns[most]), expected + search.raised @ step))
        best = np.where(_away(turns, float(turns[most])), best, np.inf)
    return out


def _left(alike: float) -> float:
    """Half the logarithm of what remains unlike."""
    return 0.5 * math.log(1.0 - min(max(alike, 0.0), 0.9995) ** 2)


def _away(turns: Any, turn: float) -> Any:
    return np.abs((turns - turn + 180) % 360 - 180) > APART_DEG


def signed(turn: float) -> float:
    """−180 to 180."""
    return (turn + 180.0) % 360.0 - 180.0
