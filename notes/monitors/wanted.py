"""In which mixes an input is wanted, for whoever listens to it at the line check."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from django.utils.translation import gettext as _

from core.languages.words import each_of
from notes.monitors.refs import INPUT, Known
from notes.monitors.services import mixes_of
from notes.monitors.state import AS_LOUD, LEVELS


def wanted_in(production: UUID, inputs: Collection[UUID]) -> dict[UUID, str]:
    """“Wedges Maud (more), Ears Noor (none)” for each of `inputs` that a mix speaks of, by itself
    or with its whole rig or player. One query, and four more where there are mixes."""
    mixes = mixes_of(production)
    if not mixes or not inputs:
        return {}
    known = Known(production)
    said: dict[UUID, list[str]] = {}
    for each in mixes:
        for want in each.state.wants:
            level = str(LEVELS[want.level])
            if want.level == AS_LOUD:
                level = _("as loud as {input}").format(input=known.name(want.like))
            for entry in inputs:
                if any(known.covers(ref, f"{INPUT}:{entry}") for ref in want.inputs):
                    said.setdefault(entry, []).append(f"{each.mix.name} ({level})")
    return {entry: each_of(dict.fromkeys(names)) for entry, names in said.items()}
