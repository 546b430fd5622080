"""More or less air between: it takes the top away, the more the further and the drier."""

from __future__ import annotations

import numpy as np

from notes.causes.kind import Kind, Real, Size
from rigs.signal.air import Air, loss_db

# A room as people like it; a dry one takes more per metre, which the sizes span.
_ROOM = Air(celsius=20.0, humidity=50.0)


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for metres in (10, 20, 40, 80):
        loss = np.asarray(loss_db(hertz, metres, _ROOM))
        out.append(Size(metres, f"about {metres} m more of it", -loss, way="more"))
        out.append(Size(metres, f"about {metres} m less of it", loss, way="less"))
    return out


KIND = Kind(
    "air",
    "Distance and air, for a microphone out in the room",
    _sizes,
    "Measure how far it stands, and read humidity and temperature; a close microphone is not it.",
    fields=(("input", "distance"),),
    beforehand=0.3,
)
