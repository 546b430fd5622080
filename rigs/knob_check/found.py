"""What is looked for in a turn, and what is found of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Circle:
    """A circle over a cap of the reference, in pixels; `inner` is the part of its radius that
    another cap covers, 0 to below 1."""

    x: float
    y: float
    radius: float
    inner: float = 0.0
    high: bool = False  # it sits on another cap


@dataclass(frozen=True)
class Found:
    """The best turn of one cap, degrees clockwise, −180 to 180, and what tells of doubt.

    `alike`: how much of the cap, beside what light explains, the turned reference explains, up to
    1; `ahead`: by how much more than at the best other turn; `shown`: how much of what stands out
    on it no other cap covers; `long`: of the mark, as `looks.length_of`. `place`: pixels of
    the photo, its middle; `beside`: radii from where all caps of the panel would have it; `shift`:
    radii right and down from where a flat one would be. `pixels`: the least radius in the photo.
    `aspect`: how flat it is seen. `bright`: the share of it that is burnt out. `contrast`: in grey
    levels. `sided`: how much tells the cap of the reference from itself half a turn on, 0 to about
    0.5. `spread`: degrees, as of `refining.Fit`. `is_round`: it fills its circle.
    `second` is the turn by the mark alone (of a ring that by all of it), `clear` as of
    `marking.Second`. `fellows`: how alike caps of its make are, most of them; `many`: how many
    there are, itself too. `high`: it sits on another. `moved`: radii from where all have it to
    where outlines and marks had voted it; `strain`: how many times as far as it may be it would be
    by itself.
    `against`: what outline and all, seen coarsely, say against that place, 0 to `parallax.WORST`,
    of a cap and the one on it what they say against the worse of both; `above`: of those, how many
    radii of the lower one the upper stands higher.
    """

    turn: float
    alike: float
    ahead: float
    shown: float
    long: float
    place: tuple[float, float]
    beside: float
    shift: tuple[float, float]
    pixels: float
    aspect: float
    bright: float
    contrast: float
    sided: float
    spread: float
    is_round: bool
    second: float = 0.0
    clear: float = 0.0
    fellows: float = 0.0
    high: bool = False
    moved: float = 0.0
    many: int = 1
    strain: float = 0.0
    against: float = 0.0
    above: float | None = None
