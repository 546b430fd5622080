"""One line of a pack list. Pure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Count:
    """`where` says which inputs, units or rigs need it; a count of None is not known."""

    what: str
    count: int | None
    where: str = ""
    is_case: bool = False
