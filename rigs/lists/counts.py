"""One line of a pack list. Pure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Count:
    """`where` says which inputs, units or rigs need it; a count of None is not known.

    `kind` says what sort of thing it is; hires are noted of `what` alone.
    """

    what: str
    count: int | None
    where: str = ""
    is_case: bool = False
    kind: str = ""

    @property
    def in_full(self) -> str:
        """“Tarn Fifty, valve amplifier head”; a name that says so itself stands alone."""
        return with_kind(self.what, self.kind)


def with_kind(what: str, kind: str) -> str:
    return f"{what}, {kind}" if kind and kind.casefold() not in what.casefold() else what
