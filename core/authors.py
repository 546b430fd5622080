"""Who writes without an account."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class GuestAuthor:
    """Somebody who wrote where a link asked them to, by the name they typed."""

    typed: str

    @property
    def name(self) -> str:
        return f"{self.typed} (guest)"
