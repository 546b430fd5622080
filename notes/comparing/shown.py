"""What a page shows on which clips are heard side by side: players, gains, outlines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.utils.safestring import SafeString, mark_safe

from core.languages.words import localised
from notes.comparing import pictures
from notes.comparing.sides import Side, SideBySide
from notes.models import Clip


def listening(
    clips: Sequence[Clip], comparison: SideBySide, typed: tuple[str, str] = ("", "")
) -> dict[str, Any]:
    """What notes/comparing/_listen.html needs; `typed`: the ends of a section as they were typed,
    empty for those that are read."""
    start, end = comparison.section
    asked = {"clip": [str(clip.pk) for clip in clips]}
    # What is read and not what was typed, which may be what could not be read.
    part = {"from": [_tidy(start)], "to": [_tidy(end)]} if comparison.is_part else {}
    return {
        "comparison": comparison,
        "section": (typed[0] or localised(_tidy(start)), typed[1] or localised(_tidy(end))),
        "clips_query": urlencode(asked, doseq=True),
        "sounds_query": urlencode(asked | part, doseq=True),
        "clips_asked": clips,
        "sides": [_shown(side) for side in comparison.sides],
    }


def svg(drawn: str) -> SafeString:
    # Written out by rigs.drawing.svg with everything escaped.
    return mark_safe(drawn)  # noqa: S308


def _shown(side: Side) -> dict[str, Any]:
    return {
        "side": side,
        "wave": svg(pictures.wave(side)),
        "difference": svg(pictures.difference(side)) if side.reading else "",
    }


def _tidy(seconds: float) -> str:
    return f"{seconds:.2f}".rstrip("0").rstrip(".")
