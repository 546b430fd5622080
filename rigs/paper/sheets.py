"""The sheets: what each shows, built from the rig as it is at one revision."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import Any

import segno

from core import clock
from core.models import Production
from rigs.describing import LinkView, RigView, snapshot_view
from rigs.drawing.kit import Kit, kit_of
from rigs.drawing.kit_plan import kit_plan
from rigs.lists.pack import Pack
from rigs.lists.pack import as_rows as pack_rows
from rigs.models import Revision, Rig
from rigs.panels import Signed
from rigs.paper.parts import input_data, unit_data
from rigs.paper.pinned import for_paper, pinned_photos
from rigs.paper.press import Paper, press
from rigs.revisions.read import as_of
from rigs.services.signed import Beside, beside

MAINS = (
    "A sum of figures is no wiring plan. Inrush, power factor and what the supply may carry are "
    "for a licensed electrician and the local code. Never lift a protective earth."
)
RIBBON = (
    "Passive ribbon microphones: phantom power through a faulty or wrongly wired cable can destroy "
    "the ribbon. Check the channel before you patch."
)


def square(address: str) -> bytes:
    """A QR code of `address` as SVG, error correction M, with its quiet zone."""
    out = io.BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", scale=4, border=4)
    return out.getvalue()


def stamp(revision: Revision) -> str:
    """What makes a stale print recognisable: number, first characters of the digest, time."""
    return f"change {revision.number} · {revision.digest[:8]} · {printed_at(revision.at)}"


def printed_at(at: datetime) -> str:
    return f"{at.day} {at:%b %Y %H:%M} UTC"


def recall_sheet(rig: Rig, revision: Revision, *, address: str, paper: Paper) -> bytes:
    """Everything a stranger needs to set the rig up as it was at `revision`."""
    state = as_of(rig, revision.number)
    # A sheet of the past is as it was; the newest says what moved since it was signed.
    newest = revision.number == rig.head_number
    view, signed = beside(rig, state) if newest else Beside(snapshot_view(rig, state), None)
    kit = kit_of(view)
    ribbon = any(e.device is not None and e.device.is_passive_ribbon for e in view.inputs)
    photos, pictures = for_paper(pinned_photos(view), rig.production_id)
    units = [unit_data(unit, f"unit{n}") for n, unit in enumerate(view.units)]
    data = {
        "title": f"Recall sheet: {view.name}",
        "paper": paper,
        "stamp": stamp(revision),
        "place": f"{rig.production}, {rig.player}",
        "rig": view.name,
        "player": rig.player.name,
        "instrument": rig.player.instrument,
        "sound": view.sound,
        "notes": view.notes,
        "cautions": [*_cautions(view), *([RIBBON] if ribbon else [])],
        "units": [data for data, _ in units],
        "links": [_link(link) for link in view.links],
        "inputs": [input_data(entry) for entry in view.inputs],
        "kit": _kit(kit),
        "moved": _moved(view, signed),
        "photos": photos,
    }
    for _, drawn in units:
        pictures |= drawn
    if kit.is_drawn:
        pictures["kit.svg"] = kit_plan(kit, name=view.name).encode()
    pictures["live.svg"] = square(address)
    return press("recall.typ", data, pictures=pictures)


def _moved(view: RigView, signed: Signed | None) -> str:
    count = view.moved_controls
    if signed is None or not count:
        return ""
    what = "One control has" if count == 1 else f"{count} controls have"
    return (
        f"{what} moved since {signed.by} signed change {signed.number}, {printed_at(signed.at)}: "
        "marked with a diamond, the old position dashed, what it was in words."
    )


def _kit(kit: Kit) -> dict[str, Any]:
    """The plan of a drum kit with its distances; nothing for a rig without drums."""
    lacking = [f"Not measured, so not drawn: {', '.join(kit.lacking)}."] if kit.lacking else []
    return {
        "drawn": kit.is_drawn,
        "said": "The kit from above, to scale; the same in the table below",
        "mics": [
            [f"{mic.key}: {mic.name}", mic.right_text, mic.front_text, mic.plan_text, mic.tape_text]
            for mic in kit.mics
        ],
        "lines": [*kit.problems, *kit.pairs, *lacking],
    }


def _cautions(view: RigView) -> list[str]:
    return list(dict.fromkeys(unit.caution for unit in view.units if unit.caution))


def _link(link: LinkView) -> list[str]:
    source = f"{link.source_name} {link.from_socket}".strip()
    target = f"{link.target_name} {link.to_socket}".strip()
    return [source, target, link.cable or link.carries_label, link.length_text or "not measured"]


def grid_sheet(
    title: str, production: Production, rows: Sequence[Sequence[str]], *, paper: Paper
) -> bytes:
    """A list with headings in its first row, such as the input list. Empty columns are left out.

    A list of many columns is printed across the long side.
    """
    used = [i for i in range(len(rows[0])) if any(row[i] for row in rows[1:])]
    used = used or list(range(min(3, len(rows[0]))))
    cut = [[row[i] for i in used] for row in rows]
    section = {"heading": "", "columns": _widths(cut), "head": cut[0], "rows": cut[1:]}
    return _grid(title, production, [section], [], paper, wide=len(used) > 5)


def pack_sheet(pack: Pack, production: Production, *, paper: Paper) -> bytes:
    """The pack list, a table for each kind of thing."""
    sections = []
    rows = pack_rows(pack)[1:]
    for heading in dict.fromkeys(row[0] for row in rows):
        lines = [row[1:] for row in rows if row[0] == heading]
        sections.append({
            "heading": heading, "columns": [3, 1, 4], "head": ["What", "Count", "For"],
            "rows": lines,
        })  # fmt: skip
    return _grid("Pack list", production, sections, [MAINS] if pack.power else [], paper)


def _grid(
    title: str, production: Production, sections: list[Any], cautions: list[str], paper: Paper,
    *, wide: bool = False,
) -> bytes:  # fmt: skip
    data = {
        "title": title, "paper": paper, "wide": wide, "stamp": f"printed {printed_at(clock.now())}",
        "place": str(production), "sections": sections, "cautions": cautions,
    }  # fmt: skip
    return press("grid.typ", data)


def _widths(rows: Sequence[Sequence[str]]) -> list[int]:
    """Column widths in parts, by the longest word and the typical length of what they hold."""
    widths = []
    for column in zip(*rows, strict=True):
        longest = max(len(word) for cell in column for word in (cell.split() or [""]))
        widths.append(max(3, longest, min(18, max(len(cell) for cell in column))))
    return widths


def label_sheet(
    production: Production, labels: Sequence[tuple[str, str, str]], *, paper: Paper
) -> bytes:
    """Labels to cut out: (name, line below, address) each, with a square that opens the address."""
    pictures = {f"label{n}.svg": square(address) for n, (_, _, address) in enumerate(labels)}
    data = {
        "title": f"Labels, {production}", "paper": paper,
        "labels": [
            {"name": name, "below": below, "picture": f"label{n}.svg"}
            for n, (name, below, _) in enumerate(labels)
        ],
    }  # fmt: skip
    return press("labels.typ", data, pictures=pictures)
