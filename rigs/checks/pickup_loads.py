"""What loads a passive pickup: the cables that leave it, and the inputs that they lead to. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench, BenchUnit

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

FARADS_PER_METRE = 100e-12  # of instrument cable; common practice, no source


class PickupLoad(NamedTuple):
    """What loads the pickup in ohm and F, what nobody has stated, and what was assumed."""

    ohms: list[float]
    farads: float
    missing: list[StrOrPromise]
    assumed: list[str]


def load_on(bench: Bench, unit: BenchUnit) -> PickupLoad | None:
    """The load on a pickup; None for an instrument with neither a cable nor a DI on record."""
    cables = [x for x in bench.links if x.source == unit.id and x.carries == "instrument"]
    dis = [e.device for e in bench.inputs if e.device and e.is_di and unit in e.units]
    # Cables in parallel load the pickup together, whatever each leads to.
    load = PickupLoad([], FARADS_PER_METRE * sum(x.length or 0.0 for x in cables), [], [])
    for cable in cables:
        target = bench.units[cable.target]
        _take(
            load,
            target.facts.get("input_impedance"),
            format_lazy(gettext_lazy("input impedance of {target}"), target=target.name),
        )
        if cable.length is None:
            load.missing.append(
                format_lazy(gettext_lazy("length of the cable to {target}"), target=target.name)
            )
    for device in dis:
        _take(
            load,
            device.impedance,
            format_lazy(gettext_lazy("impedance of {device}"), device=device.name),
        )
        load.assumed.append(
            _(
                "The cable to {device} is not documented and counted as 0 m: the loss is larger."
            ).format(device=device.name)
        )
    return load if cables or dis else None


def _take(load: PickupLoad, ohms: float | None, what: StrOrPromise) -> None:
    if ohms:
        load.ohms.append(ohms)
    else:
        load.missing.append(what)
