"""How far the cap of a knob has turned between two photos that lie on each other. Pure.

Three looks, each closer: where all caps of the panel are (`placing`); about that place, the mark is
compared over all turns; then the best turns are made exact (`refining`), and how alike the cap is
then, and how much less so at any other turn, tells how sure it is. The mark is looked for once more
by itself (`marking`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rigs.knob_check import refining
from rigs.knob_check.comparing import COARSE, levelled
from rigs.knob_check.fitting import Fitted, fitted, looked_again, signed
from rigs.knob_check.found import Circle, Found
from rigs.knob_check.layers import Layers
from rigs.knob_check.looks import (
    SHARP,
    groups_of,
    length_of,
    light_on,
    look_of,
    sidedness,
    waves_of,
)
from rigs.knob_check.parallax import Evidence, Rise, Vote, rise_of
from rigs.knob_check.placing import (
    Family,
    Search,
    carried_by,
    coarsely,
    cover,
    far_from,
    heights_of,
    place_all,
    raised_at,
    upper_of,
    usual_height,
)
from rigs.knob_check.registration import Registration
from rigs.knob_check.settling import settled

WITHIN = 0.05  # radii by which the voted place may be off
ROUNDS = 2
CLEAR = 0.5  # of `marking.Second`: of a ring about another cap its mark says the turn


def turns_of(
    reference: Layers, photo: Layers, registration: Registration, circles: Sequence[Circle]
) -> list[Found]:
    """The turn of each circled cap from the reference to the photo."""
    rise = rise_of(registration, reference.grey.shape, photo.grey.shape)
    searches = [coarsely(reference, photo, registration, rise, circle) for circle in circles]
    family = _family_of(reference, searches)
    lying = registration, rise
    _, voted = place_all(reference, photo, lying, searches, family)
    fits, vote, within, strain = _fits_of(reference, photo, lying, (searches, family), voted)
    cover(searches, vote.shifts, family.uppers)
    found = [
        _found(
            reference,
            photo,
            each,
            refining.Expected(search.flat + shift, off, photo.burnt),
            _on_reference(reference, search.circle),
        )
        for each, search, shift, off in zip(fits, searches, vote.shifts, within, strict=True)
    ]
    groups = [cap.group for cap in family.caps]
    told = [
        replace(
            each,
            beside=far_from(search, shift, each),
            fellows=_fellows(i, groups, [other.alike for other in found]),
            high=search.circle.high,
            moved=float(np.linalg.norm(search.back @ (shift - voted.shifts[i]))),
            many=groups.count(groups[i]),
            strain=strain[i],
            against=family.caps[i].tolerant().against(shift),
        )
        for i, (each, search, shift) in enumerate(zip(found, searches, vote.shifts, strict=True))
    ]
    return on_one_axis(told, circles, family.uppers, vote)


def _family_of(reference: Layers, searches: Sequence[Search]) -> Family:
    circles = [search.circle for search in searches]
    groups = groups_of(circles, [look_of(reference, circle) for circle in circles])
    uppers = [upper_of(circle, circles) for circle in circles]
    caps = [
        Evidence(np.array([c.x, c.y]), group, s.evidence, s.sought - s.flat, s.slope / COARSE)
        for c, s, group in zip(circles, searches, groups, strict=True)
    ]
    firsts = [circles[groups.index(group)] for group in range(max(groups, default=-1) + 1)]
    return Family(
        caps,
        [heights_of(first) for first in firsts],
        [usual_height(first) for first in firsts],
        carried_by(circles, groups, uppers),
        uppers,
    )


def _fits_of(
    reference: Layers,
    photo: Layers,
    lying: tuple[Registration, Rise],
    sought: tuple[Sequence[Search], Family],
    vote: Vote,
) -> tuple[list[Fitted], Vote, list[float], list[float]]:
    """The likeliest turns of each, and what `settled` then says of the places of all."""
    registration, rise = lying
    searches, family = sought
    fits: list[Fitted] = []
    within, strain = [WITHIN] * len(searches), [0.0] * len(searches)
    for _ in range(ROUNDS):
        cover(searches, vote.shifts, family.uppers)
        before: list[Fitted | None] = [*fits] or [None] * len(searches)
        fits = []
        for i, (search, shift) in enumerate(zip(searches, vote.shifts, strict=True)):
            raised = raised_at(registration, rise, search, vote, i)
            where = refining.Expected(search.flat + shift, within[i], photo.burnt)
            fits.append(fitted(reference, photo, raised, where, before[i]))
        vote, within, strain = settled(rise, family.caps, fits, vote)
    return fits, vote, within, strain


def on_one_axis(
    found: Sequence[Found], circles: Sequence[Circle], uppers: Sequence[int | None], vote: Vote
) -> list[Found]:
    """With what a cap and the one on it tell of each other: `above`, and `against` of both."""
    out = list(found)
    for lower, upper in enumerate(uppers):
        if upper is not None:
            above = (vote.heights[upper] - vote.heights[lower]) / circles[lower].radius
            against = max(found[lower].against, found[upper].against)
            for i in (lower, upper):
                out[i] = replace(out[i], above=above, against=against)
    return out


def _fellows(number: int, groups: Sequence[int], alike: Sequence[float]) -> float:
    """How alike the other caps of its make are, most of them; of the only one, all others."""
    others = [a for i, a in enumerate(alike) if i != number and groups[i] == groups[number]]
    others = others or [a for i, a in enumerate(alike) if i != number] or [alike[number]]
    return float(np.median(others))


def _found(
    reference: Layers,
    photo: Layers,
    fitted: Fitted,
    where: refining.Expected,
    of_reference: tuple[float, float],
) -> Found:
    """`of_reference`: its sidedness, and how long its mark is."""
    last, second = looked_again(reference, photo, fitted, where)
    best, search = last.fits[0], last.search
    flat = np.linalg.svd(search.raised, compute_uv=False)
    bright, contrast = light_on(photo.grey, best.centre, search.raised)
    right, down = search.back @ (best.centre - search.flat)
    turn, other = best.turn, second.turn
    if search.circle.inner and second.clear >= CLEAR:
        turn, other = other, turn
    return Found(
        turn=signed(turn),
        alike=float(best.alike.max()),
        ahead=last.ahead,
        shown=best.shown,
        long=of_reference[1],
        place=(float(best.centre[0]), float(best.centre[1])),
        beside=0.0,
        shift=(float(right), float(down)),
        pixels=float(flat[1]),
        aspect=float(flat[1] / flat[0]),
        bright=bright,
        contrast=contrast,
        sided=of_reference[0],
        spread=best.spread,
        is_round=last.is_round,
        second=signed(other),
        clear=second.clear,
    )


def _on_reference(reference: Layers, circle: Circle) -> tuple[float, float]:
    sharp = levelled(
        reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, SHARP, SHARP), SHARP
    )
    return sidedness(waves_of(sharp, circle.inner)), length_of(sharp, circle.inner)
