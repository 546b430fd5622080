"""Units and inputs as sheets print them. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from django.utils.translation import gettext as _

from core.languages.words import leading
from rigs.drawing import dials
from rigs.wording import ControlView, InputView, UnitView

PER_ROW, ROWS = 6, 3  # drawn controls: what goes into one picture


def controls_data(
    controls: Iterable[ControlView], pictures: dict[str, bytes]
) -> dict[str, list[Any]]:
    """Controls for typ/dials.typ, each once: knobs drawn, anything else in words.

    The drawings are put into `pictures`; knobs that stand alike share a file.
    """
    dialled, worded = [], []
    for control in controls:
        if not dials.is_knob(control):
            worded.append([control.name, _setting(control)])
            continue
        drawn = dials.dial(control, decoration=True).encode()
        name = f"dial-{hashlib.sha256(drawn).hexdigest()[:16]}.svg"
        pictures[name] = drawn
        dialled.append(
            {
                "file": name,
                "name": control.name,
                "setting": control.text or _("not noted"),
                "was": dials.earlier(control) if control.changed else "",
            }
        )
    return {"dials": dialled, "words": worded}


def unit_once(unit: UnitView, pictures: dict[str, bytes]) -> dict[str, Any]:
    """A unit with each control once; its drawings are put into `pictures`."""
    return _named(unit) | controls_data(unit.controls, pictures)


def _named(unit: UnitView) -> dict[str, Any]:
    make = unit.make or unit.gear_label
    return {"name": unit.name, "make": make, "lines": list(_lines(unit))}


def unit_data(unit: UnitView, name: str) -> tuple[dict[str, Any], dict[str, bytes]]:
    """A unit, and its drawn controls by file name; those names begin with `name`."""
    drawings = list(_drawings(unit, name))
    data = _named(unit) | {
        "controls": [[c.name, _setting(c)] for c in unit.controls],
        "drawings": [{"file": file, "wide": wide} for file, wide, _ in drawings],
        "alt": _("Controls of {name}, drawn at their settings; the same in words below").format(
            name=unit.name
        ),
    }
    return data, {file: picture for file, _, picture in drawings}


def _drawings(unit: UnitView, name: str) -> Iterator[tuple[str, int, bytes]]:
    """The file name, the number of controls side by side, and the SVG of each picture."""
    most = PER_ROW * ROWS
    for at in range(0, len(unit.controls), most):
        page = replace(unit, controls=unit.controls[at : at + most])
        wide = min(PER_ROW, len(page.controls))
        yield f"{name}-{at // most}.svg", wide, dials.row(page, per_row=PER_ROW).encode()


def _lines(unit: UnitView) -> Iterator[str]:
    if unit.tuning:
        yield _("Tuning: {tuning}").format(tuning=unit.tuning)
    if unit.serial:
        yield _("Label: {serial}").format(serial=unit.serial)
    if unit.machine:
        yield _("Machine {machine} of a pair").format(machine=unit.machine)
    if unit.session:
        yield _("Session: {session}").format(session=unit.session)
    if unit.midi:
        yield f"MIDI: {unit.midi}"
    if unit.stage_position:
        yield _("Place on stage: {stage_position}").format(stage_position=unit.stage_position)
    if unit.mains_circuit:
        yield _("Mains circuit: {mains_circuit}").format(mains_circuit=unit.mains_circuit)
    if unit.mains_rating:
        yield _("Rating plate: {mains_rating}").format(mains_rating=unit.mains_rating)
    if unit.packed_in:
        yield _("Travels in: {packed_in}").format(packed_in=unit.packed_in)
    yield from (leading(fact.label, fact.text) for fact in unit.facts)
    yield from (spare.line for spare in unit.spares)
    if unit.notes:
        yield unit.notes


def _setting(control: ControlView) -> str:
    text = control.text or _("not noted")
    return f"{text} ({dials.earlier(control)})" if control.changed else text


def input_data(entry: InputView) -> dict[str, Any]:
    lines = [[spec.label, spec.text] for spec in entry.specs] or [[_("Nothing noted"), ""]]
    return {"title": entry.label, "lines": lines}
