"""Checkpoints that somebody kept elsewhere: a file, or a code as it was printed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

from core.models import LogEntry, Production
from core.proof.checkpoints import HEADING, Stated, leaves_of
from core.proof.code import Code, read_code
from core.proof.merkle import root_of


class Kept:
    """What was kept elsewhere, for whichever production it is of. Raises ValueError."""

    def __init__(self, given: Iterable[str]) -> None:
        self.stated: list[Stated] = []
        self.timestamps: list[tuple[Stated, str]] = []
        self.codes: list[Code] = []
        for each in given:
            if Path(each).is_file():
                found = read_file(Path(each))
                self.stated += [stated for stated, _ in found]
                self.timestamps += [(stated, stamp) for stated, stamp in found if stamp]
            else:
                self.codes.append(read_code(each))

    def of(self, production: Production) -> list[Stated]:
        """Those of `production`; a code names none, and is looked for in all (`fits_none`)."""
        return [each for each in self.stated if each.production == str(production.pk)]

    def fits_none(self, productions: list[Production]) -> Iterator[str]:
        """Codes that none of `productions` ever had, in words."""
        for code in self.codes:
            if not any(fits(production.pk, code) for production in productions):
                yield (
                    f"No log begins with the {code.size} entries of the checkpoint "
                    f"{code.size}-{code.beginning[:4]}-… that was typed in."
                )


def fits(production: UUID, code: Code) -> bool:
    """Whether the log of `production` begins as the checkpoint said of which this is the code."""
    leaves = leaves_of(production, code.size)
    return len(leaves) == code.size and code.fits(root_of(leaves).hex())


def as_stated(row: dict[str, Any]) -> Stated:
    """What `Stated.as_json` made, back again."""
    return Stated(**{name: row[name] for name in Stated._fields})


def read_file(path: Path) -> list[tuple[Stated, str]]:
    """The checkpoints in a file, one or a list of them, each with its timestamp; "" where it has
    none. Raises ValueError."""
    try:
        found = json.loads(path.read_text())
        rows: list[Any] = found if isinstance(found, list) else [found]
        if not all(row["format"] == HEADING for row in rows):
            raise ValueError(f"not of the format “{HEADING}”")
        return [(as_stated(row), str(row.get("timestamp", ""))) for row in rows]
    except (ValueError, KeyError, TypeError, OSError) as error:
        raise ValueError(f"{path} holds no checkpoint ({error}).") from None


def orphans(kept: Kept) -> Iterator[str]:
    """Productions of which a log or a checkpoint tells, and which are not there, in words."""
    there = set(Production.objects.values_list("pk", flat=True))
    logs = LogEntry.objects.order_by().values_list("production", flat=True).distinct()
    for key in sorted(set(logs) - there):
        yield f"The production {key} is gone; its log is there."
    for each in kept.stated:
        if UUID(each.production) not in there:
            yield f"The production {each.production} is gone, of which checkpoint {each.code} is."
