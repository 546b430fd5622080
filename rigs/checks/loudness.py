"""How loud it is at a microphone when all that it picks up plays at once. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import BenchInput, BenchUnit
from rigs.checks.figures import Figure, listed
from rigs.signal.levels import sum_of_levels

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

FIGURE = "spl_at_mic"


class Loudness(NamedTuple):
    """The level in dB SPL, None where no source has one on record, and whose it is.

    `unstated` are units without one: with them the level is at least as high. So it is with the
    `other_rigs`, whose levels are stated of other places.
    """

    spl: float | None
    stated: tuple[tuple[BenchUnit, float], ...]
    unstated: tuple[BenchUnit, ...]
    other_rigs: int = 0

    @property
    def missing(self) -> list[StrOrPromise]:
        """What is asked for: “level at the microphone of Kick”."""
        return [
            format_lazy(gettext_lazy("level at the microphone of {unit}"), unit=unit.name)
            for unit in self.unstated
        ]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The level, and those it is the sum of, the loudest first."""
        whole = Figure(_("level at the microphone"), self.spl or 0.0, "dB SPL")
        if len(self.stated) < 2:
            return (whole,)
        loudest = sorted(self.stated, key=lambda pair: -pair[1])
        return (
            whole,
            *(
                Figure(_("of that {unit} alone").format(unit=u.name), spl, "dB SPL")
                for u, spl in loudest
            ),
        )

    @property
    def assumes(self) -> tuple[str, ...]:
        """What the level rests on where there are several sources."""
        found = []
        if len(self.stated) > 1:
            found.append(
                _(
                    "All at once: the energies of {n} sources are added, each as loud as it is "
                    "stated."
                ).format(n=len(self.stated))
            )
        if self.stated and self.unstated:
            names = listed([unit.name for unit in self.unstated])
            found.append(_("At least that: no level is stated of {names}.").format(names=names))
        if self.stated and self.other_rigs:
            found.append(
                _("At least that: the rigs of other players that it picks up are not in it.")
            )
        return tuple(found)


def loudness(entry: BenchInput) -> Loudness:
    """What reaches the microphone of `entry` from all that it picks up."""
    levels = [(unit, unit.facts.get(FIGURE)) for unit in entry.units]
    stated = tuple((unit, level) for unit, level in levels if level is not None)
    unstated = tuple(unit for unit, level in levels if level is None)
    spl = sum_of_levels([level for _, level in stated]) if stated else None
    return Loudness(spl, stated, unstated, entry.other_rigs)
