"""Questions to a rig: what would be if a cable, a distance, a tuning … were another."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from core.models import Production
from rigs.whatif.cable import CableTopic
from rigs.whatif.compression import CompressionTopic
from rigs.whatif.distance import DistanceTopic
from rigs.whatif.kit import KitTopic
from rigs.whatif.mix import AirTopic, rooms
from rigs.whatif.topic import Topic, Unanswerable
from rigs.whatif.tuning import TuningTopic

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

TOPICS: tuple[type[Topic], ...] = (
    CableTopic,
    DistanceTopic,
    AirTopic,
    TuningTopic,
    CompressionTopic,
    KitTopic,
)


class Tab(NamedTuple):
    """How a kind of question is offered. Not the class itself, because a template would call it."""

    key: str
    label: StrOrPromise
    icon: str


TABS = tuple(Tab(kind.key, kind.label, kind.icon) for kind in TOPICS)


def topic(key: str, production: Production, subject: str) -> Topic:
    """The kind of question; the first one where the key is none. Rooms are read where needed."""
    kind = next((kind for kind in TOPICS if kind.key == key), TOPICS[0])
    # The only topic that needs the database beside the rig, so the others cost no query for it.
    return AirTopic(rooms(production, subject)) if kind is AirTopic else kind()


__all__ = ["TABS", "Tab", "Topic", "Unanswerable", "topic"]
