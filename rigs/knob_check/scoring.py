"""How well turns were read, against what is true or was read by eye. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

FOUND_DEG, WRONG_DEG, GROSS_DEG = 4.0, 8.0, 20.0


@dataclass(frozen=True)
class Try:
    """One cap: degrees told (None where refused) and true, and whether a person could read it."""

    told: float | None
    true: float
    readable: bool = True
    kind: str = ""
    light: str = ""
    off_axis: float = 0.0  # degrees, of the later photo

    @property
    def off(self) -> float | None:
        """Degrees between what is told and what is true, 0 to 180."""
        if self.told is None:
            return None
        return abs((self.told - self.true + 180.0) % 360.0 - 180.0)


@dataclass(frozen=True)
class Tally:
    """Counts of tries. `found`, `near` and `refused` are of those that a person could read; told
    wrong counts all."""

    tries: int
    readable: int
    found: int
    near: int
    refused: int
    told: int
    wrong: int
    gross: int

    def row(self) -> str:
        """As a row of a table: tries, readable, then shares in per cent, then wrong ones."""
        of = max(1, self.readable)
        return (
            f"{self.tries} | {self.readable} | {100 * self.found / of:.1f} | "
            f"{100 * self.near / of:.1f} | {100 * self.refused / of:.1f} | {self.told} | "
            f"{self.wrong} ({100 * self.wrong / max(1, self.told):.2f}) | {self.gross}"
        )


def tally(tries: Iterable[Try]) -> Tally:
    every: Sequence[Try] = list(tries)
    off = [(each, each.off) for each in every]
    able = [(each, far) for each, far in off if each.readable]
    return Tally(
        tries=len(every),
        readable=len(able),
        found=sum(far is not None and far <= FOUND_DEG for _, far in able),
        near=sum(far is not None and far <= WRONG_DEG for _, far in able),
        refused=sum(far is None for _, far in able),
        told=sum(far is not None for _, far in off),
        wrong=sum(far is not None and far > WRONG_DEG for _, far in off),
        gross=sum(far is not None and far > GROSS_DEG for _, far in off),
    )


HEAD = (
    "tries | a person could read | found within 4°, % of those | within 8° | refused | told | "
    "told wrong by more than 8° (%) | more than 20°"
)
