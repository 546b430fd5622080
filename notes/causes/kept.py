"""What is kept with a sign-off: the signed sound as it is heard, and how its takes scatter.

Figures are stored as they were measured, so that every later night is judged by the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from math import isfinite
from typing import Any
from uuid import UUID

import numpy as np

from notes.causes import hearing, scatter
from notes.causes.hearing import Heard
from notes.causes.scatter import Scatter
from notes.models import Clip, SignedScatter, SignOff
from rigs.changes import chain
from rigs.revisions.writer import iso

METHOD = f"{hearing.METHOD} {scatter.METHOD}"
FORMAT = 1


def kept(sign_off: SignOff) -> SignedScatter | None:
    """The newest by the method of now. One query."""
    return sign_off.scatters.filter(method=METHOD).order_by("-measured_at", "-pk").first()


def keep(sign_off: SignOff, takes: Sequence[Clip], sound: Heard, spread: Scatter) -> SignedScatter:
    """Put on record what was measured of `takes`, the signed clip first."""
    made = SignedScatter(
        sign_off=sign_off,
        method=METHOD,
        takes=[clip.working for clip in takes],
        pieces=spread.pieces,
        figures={"sound": _plain(sound), "scatter": _plain(spread)},
    )
    made.seal = seal_of(made)
    made.save(force_insert=True)
    return made


def as_measured(row: SignedScatter) -> tuple[Heard, Scatter]:
    """The signed sound and its scatter, exactly as they were put on record."""
    figures = row.figures
    return Heard(**_arrays(figures["sound"])), Scatter(**_arrays(figures["scatter"]))


def seal_of(row: SignedScatter) -> str:
    """SHA-256, in hex, over the canonical JSON (RFC 8785) of the row and its sign-off's seal."""
    return chain.digest(
        {
            "format": FORMAT,
            "id": str(row.pk),
            "sign_off": row.sign_off.seal,
            "method": row.method,
            "takes": row.takes,
            "pieces": row.pieces,
            "figures": row.figures,
            "at": iso(row.measured_at),
        }
    )


def broken_scatters(production: UUID | None = None) -> Iterator[str]:
    """What is wrong, in words, one after the other. Nothing if all hold."""
    rows = SignedScatter.objects.select_related("sign_off__rig__production", "sign_off__clip")
    if production:
        rows = rows.filter(sign_off__rig__production=production)
    for row in rows.order_by("measured_at", "pk").iterator():
        if wrong := _wrong(row):
            rig = row.sign_off.rig
            yield f"{rig.production} · {rig}: the scatter {row.pk} of a signed sound {wrong}."


def _wrong(row: SignedScatter) -> str:
    if seal_of(row) != row.seal:
        return "is not what was written: its seal does not match its content"
    if row.sign_off.clip is None or row.sign_off.clip.working not in row.takes:
        return "was not measured on the clip that was signed"
    return ""


def _plain(record: Any) -> dict[str, Any]:
    """A dataclass of numbers and arrays as JSON, exactly; what is not finite as a word."""
    return {each.name: _plain_value(getattr(record, each.name)) for each in fields(record)}


def _plain_value(value: Any) -> Any:
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, list | tuple):
        return [_plain_value(each) for each in value]
    if isinstance(value, float) and not isfinite(value):
        return str(value)
    return value


def _arrays(figures: dict[str, Any]) -> dict[str, Any]:
    return {
        name: np.array(value, dtype=float) if isinstance(value, list) else _number(value)
        for name, value in figures.items()
    }


def _number(value: Any) -> Any:
    return float(value) if isinstance(value, str) else value
