"""Names of model fields that nobody gave one: Django makes them of the field, and to give a column
one would need a migration. They are translated like all others."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop

# Those that a form or the history of a rig shows.
NAMES = frozenset(
    (
        gettext_noop("about"),
        gettext_noop("aimed at"),
        gettext_noop("because of"),
        gettext_noop("box"),
        gettext_noop("cable"),
        gettext_noop("caption"),
        gettext_noop("carries"),
        gettext_noop("cautions"),
        gettext_noop("choices"),
        gettext_noop("clip a"),
        gettext_noop("clip b"),
        gettext_noop("connectors"),
        gettext_noop("control"),
        gettext_noop("count"),
        gettext_noop("currency"),
        gettext_noop("device"),
        gettext_noop("faces"),
        gettext_noop("from socket"),
        gettext_noop("gauges"),
        gettext_noop("ground lift"),
        gettext_noop("group"),
        gettext_noop("input"),
        gettext_noop("inputs"),
        gettext_noop("instrument"),
        gettext_noop("kind"),
        gettext_noop("listeners"),
        gettext_noop("mains circuit"),
        gettext_noop("maker"),
        gettext_noop("model"),
        gettext_noop("name"),
        gettext_noop("note"),
        gettext_noop("notes"),
        gettext_noop("number"),
        gettext_noop("offered"),
        gettext_noop("outcome"),
        gettext_noop("pan"),
        gettext_noop("pattern"),
        gettext_noop("pieces"),
        gettext_noop("place"),
        gettext_noop("player"),
        gettext_noop("principle"),
        gettext_noop("question"),
        gettext_noop("recorded at"),
        gettext_noop("room"),
        gettext_noop("rounds"),
        gettext_noop("said by name"),
        gettext_noop("said by player"),
        gettext_noop("scene"),
        gettext_noop("section"),
        gettext_noop("session"),
        gettext_noop("setting"),
        gettext_noop("show"),
        gettext_noop("size"),
        gettext_noop("song"),
        gettext_noop("source"),
        gettext_noop("split"),
        gettext_noop("stand"),
        gettext_noop("style"),
        gettext_noop("take"),
        gettext_noop("target"),
        gettext_noop("title"),
        gettext_noop("to socket"),
        gettext_noop("town"),
        gettext_noop("tuning"),
        gettext_noop("unit"),
        gettext_noop("units"),
        gettext_noop("value"),
        gettext_noop("variant"),
        gettext_noop("verdict"),
        gettext_noop("view"),
        gettext_noop("wanted"),
        gettext_noop("what"),
        gettext_noop("who was told"),
        gettext_noop("why"),
        gettext_noop("words"),
    )
)


def translate_names(sender: type[models.Model], **_more: Any) -> None:
    """Let the fields of a new model class be called by `NAMES` in the language of the reader."""
    for field in sender._meta.local_fields:
        # What a model says itself is marked there.
        if getattr(field, "_verbose_name", None) is None and field.verbose_name in NAMES:
            field.verbose_name = gettext_lazy(str(field.verbose_name))
