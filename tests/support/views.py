"""Views of rigs made by hand, for what draws them."""

from __future__ import annotations

from typing import Any

from rigs.wording import ControlView, DeviceView, InputView, LinkView, RigView, UnitView

MIC = DeviceView(
    "mic", "Corvane Hollow 2", "mic", "microphone", "dynamic", "moving coil", "cardioid", False
)


def unit(name: str, gear: str = "pedal", **more: Any) -> UnitView:
    return UnitView(id=name, name=name, gear=gear, gear_label=gear, icon="box", caution="", **more)


def link(source: str, target: str, **more: Any) -> LinkView:
    return LinkView(f"{source}>{target}", source, target, source, target, **more)


def mic_on(unit_name: str, name: str, number: int | None = None, **more: Any) -> InputView:
    heard = (unit_name,) if unit_name else ()
    more = {"unit": unit_name, "chosen": heard, "units": heard, "device": MIC} | more
    return InputView(id=name, number=number, name=name, **more)


def rig(
    units: list[UnitView],
    links: list[LinkView] | None = None,
    inputs: list[InputView] | None = None,
) -> RigView:
    return RigView(
        "rig",
        "Bass main",
        "main",
        "main rig",
        "",
        "",
        False,
        tuple(units),
        tuple(links or ()),
        tuple(inputs or ()),
    )


def chain(*names: str) -> RigView:
    units = [unit(name) for name in names]
    return rig(units, [link(a, b) for a, b in zip(names, names[1:], strict=False)])


def control(
    name: str = "Gain", style: str = "clock", setting: str = "", **more: Any
) -> ControlView:
    more.setdefault("text", setting)
    return ControlView(name, name, style, setting, **more)
