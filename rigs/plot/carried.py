"""What goes along with a thing that is moved: what stands on a riser, what follows a kit. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.units import Length
from rigs.plot.facing import turned
from rigs.plot.things import Spot, StagePlot, Thing, What

_ON_THE_EDGE = 0.001  # metres


@dataclass(frozen=True, slots=True)
class Moved:
    """A new place of what `key` names (rigs.plot.things.Thing); without a `spot` it has none.

    `size` is None where it is left as it is, and of the two lengths one may be missing; so is what
    it `faces`, unless it `turns`. `alone`: what stands on it stays, or its place is said itself.
    `usual`: at a show, back to what is said for all shows.
    """

    key: str
    name: str
    spot: Spot | None
    size: tuple[Length | None, Length | None] | None = None
    turns: bool = False
    faces: int | None = None
    alone: bool = False
    usual: bool = False


def standing_on(riser: Thing, plot: StagePlot) -> list[Thing]:
    """What has its middle on a riser; of two risers the smaller one stands on the larger."""
    if riser.what is not What.RISER or riser.spot is None or riser.size is None:
        return []
    return [
        thing
        for thing in plot.placed
        if thing.key != riser.key
        and _is_on(thing, riser)
        and (thing.what is not What.RISER or _area(thing) < _area(riser))
    ]


def goes_along(thing: Thing, plot: StagePlot) -> list[Thing]:
    """All that is elsewhere as soon as `thing` is: what stands on it, and what follows those."""
    on_it = standing_on(thing, plot)
    kits = {thing.key, *(each.key for each in on_it if each.moves)}
    follow = [each for each in plot.placed if each.follows in kits]
    return [each for each in on_it if each.moves] + follow


def with_what_they_carry(moved: Sequence[Moved], plot: StagePlot) -> list[Moved]:
    """`moved`, and what stands on the risers among them, by as much; `plot` is as it was before.

    What is named itself goes where it is said to.
    """
    there = {thing.key: thing for thing in plot.things}
    found = {each.key: each for each in moved}
    risers = [(each, there[each.key]) for each in moved if each.key in there and not each.alone]
    # What stands on a small riser on a large one goes with the small one.
    for each, riser in sorted(risers, key=lambda pair: _area(pair[1])):
        if each.spot is None or riser.spot is None:
            continue
        if each.spot.metres == riser.spot.metres:
            continue
        for thing in standing_on(riser, plot):
            if thing.moves and thing.key not in found:
                found[thing.key] = Moved(
                    thing.key, thing.name, _shifted(thing, riser.spot, each.spot)
                )
    return list(found.values())


def _is_on(thing: Thing, riser: Thing) -> bool:
    assert thing.spot is not None  # noqa: S101 - only what is placed is asked
    assert riser.spot is not None  # noqa: S101
    assert riser.size is not None  # noqa: S101
    (x, y), (right, up) = thing.spot.metres, riser.spot.metres
    # How far from its middle to its side, and to its front: `turned` undoes itself.
    side, front = turned(x - right, y - up, riser.faces or 0)
    wide, deep = riser.size.metres
    return abs(side) <= wide / 2 + _ON_THE_EDGE and abs(front) <= deep / 2 + _ON_THE_EDGE


def _area(thing: Thing) -> float:
    wide, deep = thing.size.metres if thing.size else (0.0, 0.0)
    return wide * deep


def _shifted(thing: Thing, was: Spot, now: Spot) -> Spot:
    assert thing.spot is not None  # noqa: S101 - it stands on a riser
    own = thing.spot
    right = own.right.metres + now.right.metres - was.right.metres
    up = own.up.metres + now.up.metres - was.up.metres
    return Spot(Length(right, own.right.unit), Length(up, own.up.unit))
