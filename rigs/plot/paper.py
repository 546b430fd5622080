"""The plot on one page: the drawing, and the same places in words below it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from core import clock
from core.languages.words import leading
from core.models import Production
from rigs.cautions import MAINS
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at
from rigs.plot.drawing import stage_plot
from rigs.plot.things import StagePlot, Thing, What
from rigs.plot.words import SIDES

# Type in points and the height of the drawing in mm, by how many lines there are at most, so that
# all stays on one page; beyond the last it goes over, and the sheet says so.
_SIZES = ((30, 9.0, 150), (45, 8.0, 140), (70, 7.0, 120), (10_000, 6.5, 110))


def plot_sheet(production: Production, plot: StagePlot, *, title: str, paper: Paper) -> bytes:
    """Tagged PDF (PDF/UA-1)."""
    groups = [_group(what, things) for what, things in plot.groups]
    if plot.unplaced:
        groups.append(_rows(_("Not placed yet"), plot.unplaced))
    if plot.lent:
        groups.append(
            {"name": _("Shared with another act"), "rows": [[each, ""] for each in plot.lent]}
        )
    lines = sum(1 + len(group["rows"]) for group in groups)
    size, tall = next((size, tall) for most, size, tall in _SIZES if lines <= most)
    data = {
        "title": title,
        "paper": paper,
        "stamp": _("printed {at}").format(at=printed_at(clock.now())),
        "place": str(production),
        "alt": _("The stage from above, to scale; the same places stand in words below"),
        "sides": str(SIDES),
        "notes": _notes(plot),
        "groups": groups,
        "size": size,
        "tall": tall,
        "caution": leading(MAINS.title, MAINS.text) if _has_mains(plot) else "",
    }
    return press("plot.typ", data, pictures={"plot.svg": stage_plot(plot).encode()})


def _has_mains(plot: StagePlot) -> bool:
    return any(thing.what is What.MAINS for thing in plot.things)


def _notes(plot: StagePlot) -> list[str]:
    size = (
        _("Stage: {size}").format(size=plot.size)
        if plot.is_said
        else _("The size of the stage is not stated")
    )
    said = [f"{_('; ').join(filter(None, [size, plot.words]))}."]
    if plot.absent:
        players = _(", ").join(plot.absent)
        said.append(_("Not at this show: {players}.").format(players=players))
    return [*said, *plot.problems]


def _group(what: What, things: Sequence[Thing]) -> dict[str, Any]:
    # What follows from the plan of a kit is drawn, and measured on the sheet of its rig.
    own = [thing for thing in things if thing.moves]
    made = _rows(what.heading, own)
    if rest := [thing.name for thing in things if not thing.moves]:
        named = _(", ").join(rest)
        words = _("As measured in the plan of the kit: {things}").format(things=named)
        made["rows"].append([words, ""])
    return made


def _rows(name: str, things: Sequence[Thing]) -> dict[str, Any]:
    return {"name": name, "rows": [[thing.name, _said(thing)] for thing in things]}


def _said(thing: Thing) -> str:
    """What a stage crew needs at a glance; of gear that is not placed what is written of it."""
    size = thing.measures if thing.what is What.RISER else ""
    feeds = [words for words in thing.more if thing.what is What.MAINS]
    said = thing.said if thing.spot is None else ""
    other = (
        _("only at this show; all shows: {usual}").format(usual=thing.usual) if thing.usual else ""
    )
    return _("; ").join(filter(None, [thing.place, size, said, *feeds, other]))
