"""What the history of the plot says: stored in English, told in the language of the reader."""

from __future__ import annotations

import re

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from core.languages.sentences import Sentences, each_retold
from core.languages.words import localised, retold
from rigs.models import PlotChange
from rigs.plot.facing import DIRECTIONS, FACING
from rigs.plot.words import OfThing

_LENGTH = re.compile(r"\d+(\.\d+)? \S+")  # “2.5 m”
STAGE, MAINS = gettext_noop("Stage"), gettext_noop("Mains")


class Says(Sentences):
    """Sentences that are not of pieces."""

    STAGE_AS_USUAL = gettext_noop("Stage: as for all shows")
    ALL_AS_USUAL = gettext_noop("All places: as for all shows")
    AS_USUAL = gettext_noop("{name}: as for all shows")
    TAKEN_OFF = gettext_noop("{name}: taken off")
    DROP_TAKEN_OFF = gettext_noop("Mains: {name}: taken off")
    PLUGGED = gettext_noop("{unit}: from {drop}")
    UNPLUGGED = gettext_noop("{unit}: not from {drop}")


@PlotChange.told_by
def told_of(change: PlotChange) -> list[str]:
    """What changed, in the language of the reader."""
    return [words_retold(each) for each in change.words]


def words_retold(words: str) -> str:
    """A sentence of the history in the language of the reader."""
    if (told := Says.retold(words)) != words:
        return told
    name, colon, said = words.rpartition(": ")
    head = _(name) if name in (STAGE, MAINS) else name
    return f"{head}{colon}{each_retold(said, _piece_retold)}"


def _piece_retold(piece: str) -> str:
    if piece.startswith("faces "):
        return retold(piece, [OfThing.FACES.value], direction=_direction_retold)
    fixed = (OfThing.CENTRE, OfThing.AT_EDGE, OfThing.CHANGED, OfThing.NO_PLACE)
    if _LENGTH.match(piece) or piece in fixed:
        return OfThing.retold(piece, length=localised)
    return piece


def _direction_retold(direction: str) -> str:
    return retold(direction, [*DIRECTIONS.values(), *FACING])
