"""Noise exposure: allowed time at a level, dose of a day, eight-hour level.

Guidance for planning, not a measurement and not advice on health or law. Local law decides, the
stricter rule is the safer one, and a qualified person should measure where hearing is at stake.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rigs.signal._check import Q, not_negative, plain, positive, within

EIGHT_HOURS = 8 * 3600.0

# Directive 2003/10/EC, Article 3(1), LEX,8h in dBA. The limit is at the ear, hearing protection
# counted; the action values are without it (Article 3(2)).
EXPOSURE_LIMIT = 87.0
UPPER_ACTION = 85.0
LOWER_ACTION = 80.0


@dataclass(frozen=True)
class Criterion:
    """The rule of a body that sets limits.

    `level` in dBA is allowed for eight hours, and each `exchange` dB more halve the time. Nothing
    below `threshold` counts, and above `ceiling` no time is allowed.
    """

    level: float
    exchange: float
    threshold: float
    ceiling: float


# 98-126; threshold and ceiling from memory.
NIOSH = Criterion(level=85, exchange=3, threshold=80, ceiling=140)
# 29 CFR 1910.95: the limit counts from 90 dBA (threshold from memory), the programme of hearing
# conservation from 80 dBA; over 115 dBA no continuous exposure.
OSHA_LIMIT = Criterion(level=90, exchange=5, threshold=90, ceiling=115)
OSHA_CONSERVATION = Criterion(level=90, exchange=5, threshold=80, ceiling=115)

Segment = tuple[float, float]
"""Level in dBA and time in s."""


@dataclass(frozen=True)
class Dose:
    """A dose in percent of the day's allowance.

    over_ceiling is True if any segment was louder than what is allowed for any time at all.
    """

    percent: float
    over_ceiling: bool


def allowed_seconds(level: Q, criterion: Criterion) -> Q:
    """Time in s allowed at a level in dBA: 8 h / 2^((L - Lc) / q); 0 above the ceiling.

    Below the threshold the formula still answers, though the rule no longer counts. Source: NIOSH
    98-126; OSHA 29 CFR 1910.95 Table G-16a. Range: 0 to 200 dBA. Raises ValueError outside it.
    """
    heard = within("level", level, 0, 200, "dBA")
    time = EIGHT_HOURS / 2.0 ** ((heard - criterion.level) / criterion.exchange)
    return plain(np.where(np.asarray(heard) > criterion.ceiling, 0.0, time))


def dose(segments: Sequence[Segment], criterion: Criterion) -> Dose:
    """Dose in % of segments (level in dBA, time in s): 100 sum(C / T), from the threshold up.

    Above the ceiling the formula is carried on and the breach is flagged. Source: as
    allowed_seconds. Range: level 0 to 200 dBA, time 0 s or more, one segment or more; impulses
    and time under hearing protection are not covered. Raises ValueError outside it.
    """
    counted = [s for s in _checked(segments) if s[0] >= criterion.threshold]
    parts = [
        t / EIGHT_HOURS * 2 ** ((lv - criterion.level) / criterion.exchange) for lv, t in counted
    ]
    # A segment of no time is no exposure, however loud it is written.
    over = any(lv > criterion.ceiling and t > 0 for lv, t in counted)
    # fsum: a dose must not depend on the order in which a day is told.
    return Dose(100 * math.fsum(parts), over)


def equivalent_level(segments: Sequence[Segment]) -> float:
    """Equivalent continuous level in dBA of segments over their own time: by energy.

    Formula: 10 log10(sum(t 10^(L/10)) / sum(t)). Source: definition of LAeq. Range: as dose, with
    some time in all. Raises ValueError outside it.
    """
    checked = _checked(segments)
    total = positive("total time", math.fsum(t for _, t in checked))
    return 10 * math.log10(math.fsum(t * 10 ** (lv / 10) for lv, t in checked) / total)


def eight_hour_level(level: Q, seconds: float) -> Q:
    """LEX,8h in dBA of an equivalent level over a time in s: LAeq + 10 log10(t / 8 h).

    Source: Directive 2003/10/EC, which limits it to 87 dBA at the ear and acts from 80 and 85.
    Range: 0 to 200 dBA, above 0 s. Raises ValueError outside it.
    """
    share = math.log10(positive("seconds", seconds) / EIGHT_HOURS)
    return plain(within("level", level, 0, 200, "dBA") + 10 * share)


def _checked(segments: Sequence[Segment]) -> list[Segment]:
    if not segments:
        raise ValueError("segments must name at least one level and time, got none")
    return [(within("level", lv, 0, 200, "dBA"), not_negative("seconds", t)) for lv, t in segments]
