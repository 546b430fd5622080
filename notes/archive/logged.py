"""Which tables of a production the log holds: all that an archive carries, but these."""

from __future__ import annotations

from collections.abc import Mapping

from core.owner import Model, path_to_production
from notes.archive.tables import tables
from rigs.models import Part

# Model label → why the log leaves it out.
LEFT_OUT = {
    "core.Checkpoint": "speaks of the log",
    "core.LogEntry": "is the log",
    "core.LogSalt": "belongs to the log",
    "core.Membership": "rights on one server; who joins an account there has another",
    "rigs.ChangeRow": "the digest of its change is over it",
}


def logged() -> Mapping[Model, str]:
    """By model, the lookup from a record to its production."""
    return {
        model: path_to_production(model)
        for model in tables()
        # Parts are what the changes of their rig add up to, which the rig's history is asked for.
        if model._meta.label not in LEFT_OUT and not issubclass(model, Part)
    }
