"""What was measured on the sound of two inputs, as apps further downstream know it.

rigs must not know notes, yet a delay that was measured from clips belongs beside the one that the
tape measure predicts. An app registers a provider in its AppConfig.ready(); laying a rig out for
the rules asks it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain
from typing import Any, NamedTuple
from uuid import UUID


class Measurement(NamedTuple):
    """Two inputs by their ids, and by how many seconds the sound reaches `second` later.

    `polarity` is that of the sources: −1 where they push opposite ways ahead of the desk's own
    switches. `celsius` is the air it was recorded in, None where nobody stated it. `moved_in` is
    the number of the change that made it out of date, by another device or another place.
    `through_desk`: it was recorded behind the desk's delays, so it holds what is set there.
    """

    first: str
    second: str
    delay_s: float
    polarity: int
    celsius: float | None = None
    moved_in: int | None = None
    through_desk: bool = False


Provider = Callable[[Sequence[Any]], Mapping[UUID, Iterable[Measurement]]]
_providers: list[Provider] = []


def register(provider: Provider) -> None:
    """`provider(rigs)`: measurements by the rig's id, as many queries for one rig as for many."""
    if provider not in _providers:
        _providers.append(provider)


def measured(rigs: Sequence[Any]) -> dict[UUID, tuple[Measurement, ...]]:
    """The measurements of each rig, the newest of each pair of inputs."""
    found = [provider(rigs) for provider in _providers]
    return {
        rig.pk: tuple(chain.from_iterable(each.get(rig.pk, ()) for each in found)) for rig in rigs
    }
