"""Maker and model, as they are written in one piece. Pure."""

from __future__ import annotations

from collections.abc import Iterable


def by_length(makers: Iterable[str]) -> list[str]:
    """The makers that are known, the longest first: a name may begin with another’s."""
    return sorted({maker for maker in makers if maker}, key=len, reverse=True)


def maker_and_model(make: str, makers: Iterable[str]) -> tuple[str, str]:
    """A known maker in front, else the first word. `makers` come in the order of `by_length`."""
    for maker in makers:
        whole = make.casefold() == maker.casefold()
        if whole or make.casefold().startswith(f"{maker} ".casefold()):
            return maker, make[len(maker) :].strip()
    maker, _, model = make.partition(" ")
    return maker, model
