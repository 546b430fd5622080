"""The order in which the blocks of a rig are read, by the trade of the reader. Pure.

Cautions come first for everybody.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy

from core.models.roles import Role

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of a rig's sheet, and what stands above it."""

    key: str
    title: StrOrPromise

    @property
    def template(self) -> str:
        return f"notes/handover/blocks/{self.key}.html"


BLOCKS = {
    block.key: block
    for block in (
        Block("cautions", ""),
        Block("sound", gettext_lazy("How it should sound")),
        Block("wishes", gettext_lazy("What the player asks for")),
        Block("inputs", gettext_lazy("How it is picked up")),
        Block("units", gettext_lazy("Units, settings and spares")),
        Block("path", gettext_lazy("What is plugged into what")),
        Block("kit", gettext_lazy("The kit from above")),
        Block("songs", gettext_lazy("What songs change")),
        Block("changes", gettext_lazy("What changed")),
        Block("tried", gettext_lazy("Tried and rejected")),
        Block("open", gettext_lazy("Still open")),
        Block("findings", gettext_lazy("What the checks found")),
        Block("photos", gettext_lazy("Photos")),
    )
}


@dataclass(frozen=True, slots=True)
class Order:
    key: str
    label: StrOrPromise
    blocks: tuple[Block, ...]


def _order(key: str, label: StrOrPromise, names: str) -> Order:
    return Order(key, label, tuple(BLOCKS[name] for name in names.split()))


# What each trade asks for first is common practice, no source.
ORDERS = {
    order.key: order
    for order in (
        _order(
            "all",
            gettext_lazy("Default order"),
            "cautions sound changes tried open findings inputs kit units path songs photos",
        ),
        _order(
            "tech",
            gettext_lazy("Backline tech"),
            "cautions units songs path inputs kit changes open tried findings sound photos",
        ),
        _order(
            "foh",
            gettext_lazy("FOH engineer"),
            "cautions inputs sound kit changes tried open findings songs units path photos",
        ),
        _order(
            "monitors",
            gettext_lazy("Monitor engineer"),
            "cautions inputs wishes changes open tried songs findings units path kit photos",
        ),
    )
}


def order_for(asked: str, roles: Iterable[str]) -> Order:
    """The one asked for, or else the one of the reader's own roles."""
    if asked in ORDERS:
        return ORDERS[asked]
    held = set(roles)
    if Role.ENGINEER in held:
        return ORDERS["foh"]
    if Role.MONITORS in held:
        return ORDERS["monitors"]
    return ORDERS["tech"] if Role.TECH in held else ORDERS["all"]
