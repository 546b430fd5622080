"""A folder of a crew's own photos with what they read by eye, read and scored. Pure.

`caps.csv` has a row for each cap of a reference: reference, cap, x, y, radius, inner, kind; x, y
and radius in per cent of the picture (of its width, height and width), inner in per cent of the
radius, the last two optional. `read.csv` has a row for each cap of each later photo: reference,
photo, cap, turn; degrees clockwise since the reference as read by eye, empty where nobody could
say.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from rigs.knob_check.reading import Cap, UnreadablePicture, read_turns
from rigs.knob_check.scoring import Try

CAPS, READ = "caps.csv", "read.csv"
_MUST_CAPS, _MUST_READ = (
    ("reference", "cap", "x", "y", "radius"),
    (
        "reference",
        "photo",
        "cap",
        "turn",
    ),
)
Row = dict[str, str]


class BadFolder(ValueError):
    """A file that is missing, or a row that cannot be read; the message names it."""


def tries_of(folder: Path) -> Iterator[tuple[str, Try]]:
    """The photo and the cap in words, and what came of it. Raises BadFolder."""
    caps: dict[str, dict[str, Row]] = defaultdict(dict)
    for row in _rows(folder / CAPS, _MUST_CAPS):
        caps[row["reference"]][row["cap"]] = row
    later: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in _rows(folder / READ, _MUST_READ):
        later[row["reference"], row["photo"]].append(row)
    for (reference, photo), by_eye in later.items():
        known = caps[reference]
        if missing := [row["cap"] for row in by_eye if row["cap"] not in known]:
            raise BadFolder(f"{READ}: {CAPS} has no cap “{missing[0]}” of {reference}.")
        try:
            readings = read_turns(
                _bytes(folder, reference),
                _bytes(folder, photo),
                [_cap(row) for row in known.values()],
            )
        except UnreadablePicture:
            raise BadFolder(f"{reference} or {photo} cannot be read as a picture.") from None
        told = dict(zip(known, readings, strict=True))
        for row in by_eye:
            turn = told[row["cap"]].turn
            eye = _number(row["turn"], READ) if row["turn"].strip() else None
            kind = known[row["cap"]].get("kind") or ""
            yield (
                f"{photo}, {row['cap']}",
                # What nobody could read by eye has no truth: what is told of it is told wrong.
                Try(turn, eye if eye is not None else (turn or 0.0) + 180.0, eye is not None, kind),
            )


def _rows(path: Path, must: tuple[str, ...]) -> Iterator[Row]:
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            reader = csv.DictReader(file)
            if missing := set(must) - set(reader.fieldnames or ()):
                raise BadFolder(f"{path.name} has no column “{min(missing)}”.")
            for row in reader:
                yield {key: (value or "").strip() for key, value in row.items() if key}
    except FileNotFoundError:
        raise BadFolder(f"There is no {path.name} in the folder.") from None


def _bytes(folder: Path, name: str) -> bytes:
    try:
        return (folder / name).read_bytes()
    except OSError:
        raise BadFolder(f"{name} cannot be opened.") from None


def _number(text: str, where: str) -> float:
    try:
        return float(text.replace("−", "-"))
    except ValueError:
        raise BadFolder(f"{where}: “{text}” is no number.") from None


def _cap(row: Row) -> Cap:
    x, y, radius = (_number(row[name], CAPS) / 100 for name in ("x", "y", "radius"))
    if not (0 <= x <= 1 and 0 <= y <= 1 and 0 < radius < 1):
        raise BadFolder(f"{CAPS}: the circle of “{row['cap']}” is not on the picture.")
    return Cap(x, y, radius, _number(row.get("inner") or "0", CAPS) / 100)
