"""A compressor with its compressed and its dry path blended: static curves, form, what a rig says.

The functions before the form are pure: quantities in SI go in, a WhatIfAnswer comes out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy

from core.languages.words import apart
from rigs.cautions import Caution
from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.build import number as parse_number
from rigs.signal.dynamics import Compressor, blend_db, compressed_db
from rigs.whatif.answers import (
    ProposedValue,
    Subject,
    Table,
    WhatIfAnswer,
    compression_plot,
    number,
)
from rigs.whatif.forms import QuestionFields, number_field
from rigs.whatif.topic import Topic

SPAN, STEP = 60, 10  # dB of what comes in, and how finely it is told
LOUD, QUIET = 0, 40  # dB below the top, where the words compare
COLUMNS = (
    pgettext_lazy("level", "In"),
    gettext_lazy("Compressed path"),
    gettext_lazy("Dry path"),
    pgettext_lazy("of two paths", "Blend"),
    gettext_lazy("Blend against in"),
)
ASSUMES = (
    gettext_lazy(
        "Settled levels, on the scale the threshold is marked in; attack and release are left out."
    ),
    gettext_lazy(
        "Both paths arrive together and in phase. A compressed path that comes "
        "late, such as through a digital unit, combs instead."
    ),
)


def caution() -> Caution:
    return Caution(
        _("Hearing"),
        _(
            "A blend is louder than either path alone: turn down first, then compare at equal "
            "loudness."
        ),
        "ear",
    )


class Blend(NamedTuple):
    """The gains in dB of the two paths where they meet."""

    dry: float
    wet: float


class Levels(NamedTuple):
    """The levels in dB of the two paths where they meet, and of their sum."""

    compressed: float
    dry: float
    blend: float


def levels(level: float, compressor: Compressor, blend: Blend) -> Levels:
    """The levels for one input level in dB. Raises ValueError outside -1000 to 1000 dB."""
    wet = float(compressed_db(level, compressor)) + blend.wet
    dry = level + blend.dry
    return Levels(wet, dry, float(blend_db(dry, wet)))


def answer(
    compressor: Compressor, blend: Blend, proposal: ProposedValue | None = None
) -> WhatIfAnswer:
    """Both paths and their blend, over 60 dB of input that reach above the threshold."""
    top = _top(compressor.threshold)
    by_level = {level: levels(level, compressor, blend) for level in _levels_shown(compressor, top)}
    rows = tuple(
        (
            number(level, ""),
            *(number(out, "") for out in at_level),
            number(at_level.blend - level, "", sign=True),
        )
        for level, at_level in by_level.items()
    )
    return WhatIfAnswer(
        _words(compressor, blend, top),
        (Table(_("Levels in dB: what comes in, and what comes out"), COLUMNS, rows),),
        assumes=tuple(str(each) for each in ASSUMES),
        drawing=_plot(compressor, blend, top, by_level),
        proposal=proposal,
        caution=caution(),
    )


def _top(threshold: float) -> int:
    """The highest level that is told: 0 dB, or more where the threshold lies that high."""
    # One step above the threshold, so that the bend is always inside the table.
    return max(0, STEP * math.ceil((threshold + STEP) / STEP))


def _levels_shown(compressor: Compressor, top: int) -> list[float]:
    """Every ten dB, and the threshold itself."""
    tens = {float(level) for level in range(top - SPAN, top + 1, STEP)}
    within = {compressor.threshold} if compressor.threshold >= top - SPAN else set()
    return sorted(tens | within, reverse=True)


def _words(compressor: Compressor, blend: Blend, top: int) -> str:
    quiet, loud = (levels(top - below, compressor, blend) for below in (QUIET, LOUD))
    spans = [number(b - a, "dB") for a, b in zip(quiet, loud, strict=True)]
    return _(
        "Between {low} and {high} coming in, {apart} apart, the compressed path moves by "
        "{compressed} and the blend by {blend}."
    ).format(
        low=number(top - QUIET, "dB", 0),
        high=number(top, "dB", 0),
        apart=number(QUIET, "dB", 0),
        compressed=spans[0],
        blend=spans[2],
    )


def _plot(compressor: Compressor, blend: Blend, top: int, by_level: dict[float, Levels]) -> str:
    # With the levels of the table, so that the threshold is a point of the curve and not cut off.
    grid = sorted({*map(float, range(top - SPAN, top + 1)), *by_level})
    curve = [levels(level, compressor, blend) for level in grid]
    desc = apart(
        _("{level} in: compressed {compressed}, dry {dry}, blend {blend}").format(
            level=number(level, "dB"),
            compressed=number(out.compressed, "dB"),
            dry=number(out.dry, "dB"),
            blend=number(out.blend, "dB"),
        )
        for level, out in by_level.items()
    )
    return compression_plot(
        {
            pgettext("curve", "blend"): (grid, [out.blend for out in curve]),
            pgettext("curve", "compressed path"): (grid, [out.compressed for out in curve]),
            pgettext("curve", "dry path"): (grid, [out.dry for out in curve]),
        },
        title=_("Compressed path, dry path and their blend"),
        desc=f"{desc}.",
    )


# What a question asks, the names its control goes by, and the unit in which the control must be
# marked to be read. A clock position or a number on a dial is no level.
_READ = {
    "threshold": (("threshold",), "db"),
    "ratio": (("ratio",), ":1"),
    "knee": (("knee",), "db"),
    "makeup": (("output", "make-up", "makeup", "make-up gain"), "db"),
    "dry": (("dry", "dry level"), "db"),
    "wet": (("blend", "wet", "wet level"), "db"),
}
# The dry path is what the others are measured against.
_START = {"dry": "0"}


class CompressionQuestion(QuestionFields):
    threshold = number_field(gettext_lazy("threshold, dB"), -60, 30)
    ratio = number_field(
        gettext_lazy("ratio, to 1"),
        1,
        1000,
        help_text=gettext_lazy("4 for 4 to 1; a limiter is 100 or more."),
    )
    knee = number_field(
        gettext_lazy("knee, dB wide"),
        0,
        60,
        required=False,
        help_text=gettext_lazy("Left empty: a hard knee."),
    )
    makeup = number_field(
        gettext_lazy("output or make-up, dB"),
        -60,
        60,
        required=False,
        help_text=gettext_lazy("Left empty: 0."),
    )
    dry = number_field(gettext_lazy("dry path in the blend, dB"), -60, 20)
    wet = number_field(
        gettext_lazy("compressed path in the blend, dB"),
        -60,
        20,
        help_text=gettext_lazy("Against the dry one: 0 where both are turned up alike."),
    )


class CompressionTopic(Topic):
    key, label, icon = "compression", gettext_lazy("Compression"), "square-activity"
    nothing = gettext_lazy(
        "No compressor, and nothing else with a threshold and a ratio, is in this rig."
    )
    question = CompressionQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(u.id, u.name) for u in bench.units.values() if _compresses(u)]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        return _START | _read(bench.units[subject])

    def known(self, bench: Bench, subject: str) -> WhatIfAnswer | None:
        """What the unit's controls do not say in figures."""
        return WhatIfAnswer(problems=tuple(_unread(bench.units[subject])))

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        compressor = Compressor(
            typed["threshold"], typed["ratio"], typed["knee"] or 0.0, typed["makeup"] or 0.0
        )
        blend = Blend(typed["dry"], typed["wet"])
        return answer(compressor, blend, _proposal(bench.units[subject], typed))


def _compresses(unit: BenchUnit) -> bool:
    names = {name.casefold() for name in unit.settings}
    return unit.traits.compresses or {"threshold", "ratio"} <= names


def _controls(unit: BenchUnit) -> Iterator[tuple[str, str, bool]]:
    """The field of the question, the name of its control, and whether the setting can be read."""
    for key, (names, symbol) in _READ.items():
        for name in unit.settings:
            if name.strip().casefold() in names:
                marked = unit.symbols.get(name, "").replace(" ", "").casefold()
                yield key, name, marked == symbol and parse_number(unit.settings[name]) is not None


def _read(unit: BenchUnit) -> dict[str, str]:
    return {key: unit.settings[name] for key, name, reads in _controls(unit) if reads}


def _proposal(unit: BenchUnit, typed: dict[str, Any]) -> ProposedValue | None:
    """The control to turn, where what was typed differs from just one that can be read.

    A proposal writes one field; two controls at once are turned on the page of the unit.
    """
    moved = [
        (name, typed[key])
        for key, name, reads in _controls(unit)
        if reads and typed[key] is not None and typed[key] != parse_number(unit.settings[name])
    ]
    if len(moved) != 1:
        return None
    ((name, value),) = moved
    return ProposedValue("control", unit.controls[name], "setting", f"{value:.12g}")


def _unread(unit: BenchUnit) -> Iterator[str]:
    for key, name, reads in _controls(unit):
        setting = f"{unit.settings[name]} {unit.symbols.get(name, '')}".strip()
        if unit.settings[name] and not reads:
            words = (
                _("{control} stands at {setting}, which is no ratio. Type what you take it for.")
                if key == "ratio"
                else _(
                    "{control} stands at {setting}, which is no level in dB. Type what you take "
                    "it for."
                )
            )
            yield words.format(control=name, setting=setting)
