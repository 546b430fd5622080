"""A microphone or DI that a show wants more often than the production owns it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.channels import numbered_line
from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.stage import Stage, StageDevice, StageInput

KEY = "devices_owned"
WHY = gettext_lazy(
    "An input would stand without its microphone or DI, and that is noticed at the line check."
)


def check(stage: Stage) -> Iterator[Finding]:
    unstated = []
    for key, inputs in _by_device(stage).items():
        device, needed = stage.devices[key], _count(inputs)
        if device.owned is not None:
            yield from _too_few(device, device.owned, inputs, needed)
        # What is in the catalogue is taken to be there once; more than that has to be stated.
        elif needed - device.hired > 1:
            unstated.append(device)
    if unstated:
        names = listed([device.name for device in unstated])
        yield not_measured(
            KEY,
            [device.id for device in unstated],
            _("Microphones and DIs used more than once"),
            [format_lazy(gettext_lazy("number owned of {names}"), names=names)],
            WHY,
            _("State the number owned on the page of each microphone or DI."),
        )


def _by_device(stage: Stage) -> dict[str, list[StageInput]]:
    """The inputs that want a device of the production's own, by the device's id."""
    by_device: dict[str, list[StageInput]] = defaultdict(list)
    for entry in stage.inputs:
        if entry.device in stage.devices and not entry.hired:
            by_device[entry.device].append(entry)
    return by_device


def _count(inputs: list[StageInput]) -> int:
    """How many devices the inputs take: one microphone split to several channels counts once."""
    lines = ((numbered_line(entry.line), entry.units, entry.id) for entry in inputs)
    return len({(line, units) if line and units else part for line, units, part in lines})


def _too_few(
    device: StageDevice, owned: int, inputs: list[StageInput], needed: int
) -> Iterator[Finding]:
    lacking = needed - device.hired - owned
    if lacking <= 0:
        return
    hired = (Figure(_("hired"), str(device.hired)),) if device.hired else ()
    yield Finding(
        KEY,
        (device.id, *(entry.id for entry in inputs)),
        Severity.LOOK,
        _("{device}: {n} too few for this show").format(device=device.name, n=lacking),
        str(WHY),
        _(
            "Hire {n} at the show, or name another microphone or DI on one of its inputs: {names}."
        ).format(n=lacking, names=listed([entry.in_full for entry in inputs])),
        Certainty.CERTAIN,
        (Figure(_("wanted"), str(needed)), Figure(_("owned"), str(owned)), *hired),
    )


RULE = Rule(
    KEY, gettext_lazy("Is a microphone or DI wanted more often than it is owned or hired?"), check
)
