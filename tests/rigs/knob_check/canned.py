"""What is read of a panel, in place of the reading, which takes seconds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rigs.knob_check.references import Reference


def canned(reference: Reference, turns: Sequence[float | None]) -> dict[str, Any]:
    """The columns of a check in which each knob is turned by so much; None cannot be told. On
    the new photo all is a tenth of the width further to the right."""
    readings = [
        {
            "pin": str(each.pin.pk),
            "control": str(each.control.pk),
            "name": str(each.control),
            "kind": "knob",
            "shown": each.pin.cap_setting,
            "turn": turn,
            "reason": "" if turn is not None else "glare",
            "circle": [0.5, 0.5, 0.1],
            "seen": [9.0, 0.0, 0.0, 9.0, 50.0, 50.0],
        }
        for each, turn in zip(reference.marks, turns, strict=True)
    ]
    return {"readings": readings, "plane": [1.0, 0.0, 0.1, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0]}
