"""Which of our columns a stranger's heading means, and the unit it may say. No queries."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rigs.lists.columns import BY_KEY, COLUMNS, Column

# After a comma or in brackets any unit; after a space only those that are no word of their own.
_UNIT = re.compile(
    r"(?:[(\[,/]\s*(?P<set>mm|cm|m|in|inch|inches|ft|feet|k?hz|db|°|deg)\s*[)\]]?"
    r"|\s(?P<said>mm|cm|ft|k?hz|db))\s*$"
)
_BARE = re.compile(r"\d[\d.,/ ]*")


def tidy_heading(heading: str) -> str:
    return re.sub(r"[^\w#ø]", "", heading.casefold()).replace("_", "")


def unit_of(heading: str) -> str:
    """“Dist. (cm)” → “cm”; empty where a heading says none."""
    found = _UNIT.search(heading.casefold())
    return (found["set"] or found["said"]) if found else ""


def guess(headings: Sequence[str], columns: Sequence[Column] = COLUMNS) -> dict[int, str]:
    """Which column each heading most likely is; each of ours at most once. Unknown are left out."""
    known: dict[str, str] = {}
    for column in columns:
        for name in (tidy_heading(column.heading), column.key.replace("_", ""), *column.names):
            known.setdefault(name, column.key)
    mapping: dict[int, str] = {}
    for index, heading in enumerate(headings):
        whole = tidy_heading(heading)
        without = tidy_heading(_UNIT.sub("", heading.casefold()))
        key = known.get(whole) or known.get(without)
        if key is not None and key not in mapping.values():
            mapping[index] = key
    return mapping


def with_unit(key: str, cell: str, heading: str) -> str:
    """A bare number below “Dist. (cm)” is in centimetres; a unit in the cell itself goes first."""
    unit, row = unit_of(heading), BY_KEY[key].field if key in BY_KEY else None
    if not unit or row is None or not _BARE.fullmatch(cell):
        return cell
    if row.is_length and unit not in ("hz", "khz", "db", "°", "deg"):
        return f"{cell} {unit}"
    return f"{cell}k" if row.symbol == "Hz" and unit == "khz" else cell
