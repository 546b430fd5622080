"""A compressor with its compressed and its dry path blended: static curves. Pure."""

from __future__ import annotations

import math
from typing import NamedTuple

from rigs.signal.dynamics import Compressor, blend_db, compressed_db
from rigs.whatif.answers import Answer, Caution, Proposal, Table, compression_plot, number

SPAN, STEP = 60, 10  # dB of what comes in, and how finely it is told
LOUD, QUIET = 0, 40  # dB below the top, where the words compare
COLUMNS = ("In", "Compressed path", "Dry path", "Blend", "Blend against in")
ASSUMES = (
    "Settled levels, on the scale the threshold is marked in; attack and release are left out.",
    "Both paths arrive together and in phase. A compressed path that comes late, such as through a "
    "digital unit, combs instead.",
)
CAUTION = Caution(
    "Mind the ears",
    "A blend is louder than either path alone: turn down first, then compare at equal loudness.",
    "ear",
)


class Blend(NamedTuple):
    """dB by which each path is turned up where the two meet."""

    dry: float
    wet: float


class Levels(NamedTuple):
    """dB where the two paths meet, and of both together."""

    compressed: float
    dry: float
    blend: float


def levels(level: float, compressor: Compressor, blend: Blend) -> Levels:
    """Of one level in dB that comes in. Raises ValueError outside -1000 to 1000 dB."""
    wet = float(compressed_db(level, compressor)) + blend.wet
    dry = level + blend.dry
    return Levels(wet, dry, float(blend_db(dry, wet)))


def answer(compressor: Compressor, blend: Blend, proposal: Proposal | None = None) -> Answer:
    """Both paths and their blend, over 60 dB that reach above the threshold."""
    top = _top(compressor.threshold)
    told = {level: levels(level, compressor, blend) for level in _told(compressor, top)}
    rows = tuple(
        (
            number(level, ""),
            *(number(out, "") for out in found),
            number(found.blend - level, "", sign=True),
        )
        for level, found in told.items()
    )
    return Answer(
        _words(compressor, blend, top),
        (Table("Levels in dB: what comes in, and what comes out", COLUMNS, rows),),
        assumes=ASSUMES,
        drawing=_plot(compressor, blend, top, told),
        proposal=proposal,
        caution=CAUTION,
    )


def _top(threshold: float) -> int:
    """The highest level that is told: 0 dB, or more where the threshold lies that high."""
    return max(0, STEP * math.ceil((threshold + STEP) / STEP))


def _told(compressor: Compressor, top: int) -> list[float]:
    """Every ten dB, and the threshold itself."""
    tens = {float(level) for level in range(top - SPAN, top + 1, STEP)}
    within = {compressor.threshold} if compressor.threshold >= top - SPAN else set()
    return sorted(tens | within, reverse=True)


def _words(compressor: Compressor, blend: Blend, top: int) -> str:
    quiet, loud = (levels(top - below, compressor, blend) for below in (QUIET, LOUD))
    spans = [number(b - a, "dB") for a, b in zip(quiet, loud, strict=True)]
    return (
        f"Between {number(top - QUIET, 'dB', 0)} and {number(top, 'dB', 0)} coming in, "
        f"{number(QUIET, 'dB', 0)} apart, the compressed path moves by {spans[0]} and the blend "
        f"by {spans[2]}."
    )


def _plot(compressor: Compressor, blend: Blend, top: int, told: dict[float, Levels]) -> str:
    grid = sorted({*map(float, range(top - SPAN, top + 1)), *told})
    found = [levels(level, compressor, blend) for level in grid]
    desc = "; ".join(
        f"{number(level, 'dB')} in: compressed {number(out.compressed, 'dB')}, "
        f"dry {number(out.dry, 'dB')}, blend {number(out.blend, 'dB')}"
        for level, out in told.items()
    )
    return compression_plot(
        {
            "blend": (grid, [out.blend for out in found]),
            "compressed path": (grid, [out.compressed for out in found]),
            "dry path": (grid, [out.dry for out in found]),
        },
        title="Compressed path, dry path and their blend",
        desc=f"{desc}.",
    )
