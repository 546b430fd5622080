"""More or less air between: it takes the top away, the more the further and the drier."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from rigs.signal.air import Air, loss_db

# Rooms as people like them, and dry ones, which take more per metre.
_ROOMS = (Air(celsius=20.0, humidity=50.0), Air(celsius=20.0, humidity=30.0))


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for room in _ROOMS:
        for metres in (10, 15, 20, 30, 40, 60, 80):
            loss = np.asarray(loss_db(hertz, metres, room))
            out.append(
                Size(
                    metres,
                    Said(gettext_noop("about {metres} m more of it"), metres=metres),
                    -loss,
                    way="more",
                )
            )
            out.append(
                Size(
                    metres,
                    Said(gettext_noop("about {metres} m less of it"), metres=metres),
                    loss,
                    way="less",
                )
            )
    return out


KIND = Kind(
    "air",
    Said(gettext_noop("Distance and air, for a microphone out in the room")),
    _sizes,
    Said(
        gettext_noop(
            "Measure how far it stands, and read humidity and temperature; a close microphone is "
            "not it."
        )
    ),
    fields=(("input", "distance"),),
    beforehand=0.3,
    loose_bands=0.4,
)
