"""What each sheet of paper shows, built from a rig as it was at one revision."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from core import qr
from core.languages.dates import day
from core.languages.words import leading
from core.models import Production
from rigs.cautions import in_words, of_rig
from rigs.drawing.kit import Kit, kit_of
from rigs.drawing.kit_plan import kit_plan
from rigs.models import Revision, Rig
from rigs.overview.listing import LiveAndSigned, beside
from rigs.paper.parts import input_data, unit_once
from rigs.paper.pdf import Paper, press
from rigs.paper.pinned import for_paper, pinned_photos
from rigs.places import SignedState
from rigs.revisions.read import as_of
from rigs.wording import LinkView, RigView, snapshot_view


def stamp(revision: Revision) -> str:
    """The line by which a stale print is recognised: number, start of the digest, time."""
    change = _("change {number}").format(number=revision.number)
    return f"{change} · {revision.digest[:8]} · {printed_at(revision.happened_at)}"


def printed_at(at: datetime) -> str:
    return f"{day(at.date())} {at:%H:%M} UTC"


def recall_sheet(rig: Rig, revision: Revision, *, address: str, paper: Paper) -> bytes:
    """The PDF with everything a stranger needs to set the rig up as it was at `revision`."""
    # From the history and not from the tables, so that a sheet of the past can be printed again.
    state = as_of(rig, revision.number)
    # A sheet of the past is as it was; the newest says what moved since it was signed.
    newest = revision.number == rig.head_number
    view, signed = beside(rig, state) if newest else LiveAndSigned(snapshot_view(rig, state), None)
    return sheet_of(
        rig,
        view,
        title=_("Recall sheet: {name}").format(name=view.name),
        address=address,
        paper=paper,
        stamp=stamp(revision),
        moved=moved_since_signed(view, signed),
    )


def sheet_of(
    rig: Rig, view: RigView, *, title: str, address: str, paper: Paper, stamp: str, moved: str
) -> bytes:
    """The PDF with everything in `view`. `stamp` says which state it is of, and `moved` what stands
    elsewhere than somebody would expect."""
    kit = kit_of(view)
    photos, pictures = for_paper(pinned_photos(view), rig.production_id)
    data = {
        "title": title,
        "paper": paper,
        "stamp": stamp,
        "place": f"{rig.production}, {rig.player}",
        "rig": view.name,
        "player": rig.player.name,
        "instrument": rig.player.instrument,
        "sound": view.sound,
        "notes": view.notes,
        "cautions": in_words(of_rig(view)),
        "units": [unit_once(unit, pictures) for unit in view.units],
        "scenes": [[s.label, s.unit_name, s.line or _("nothing")] for s in view.scenes],
        "links": [link_data(link) for link in view.links],
        "inputs": [input_data(entry) for entry in view.inputs],
        "kit": kit_data(kit),
        "moved": moved,
        "photos": photos,
    }
    if kit.is_drawn:
        pictures["kit.svg"] = kit_plan(kit, name=view.name).encode()
    live, code = code_of(address)
    return press("recall.typ", data | live, pictures=pictures | code)


def code_of(address: str) -> tuple[dict[str, bool], dict[str, bytes]]:
    """Whether a sheet has a square code that opens `address`, and its picture; an address that is
    empty has none."""
    return {"live": bool(address)}, {"live.svg": qr.for_paper(address)} if address else {}


def moved_since_signed(view: RigView, signed: SignedState | None) -> str:
    """Which controls moved since the player signed, for a sheet that draws them; empty if none."""
    count = view.moved_controls
    if signed is None or not count:
        return ""
    return ngettext(
        "One control has moved since {by} signed change {number}, {at}: marked with a diamond, "
        "the old position dashed, what it was in words.",
        "{n} controls have moved since {by} signed change {number}, {at}: marked with a diamond, "
        "the old position dashed, what it was in words.",
        count,
    ).format(n=count, by=signed.by, number=signed.number, at=printed_at(signed.at))


def kit_data(kit: Kit) -> dict[str, Any]:
    """The plan of a drum kit with its distances; nothing for a rig without drums."""
    lacking = (
        [_("Not measured, so not drawn: {things}.").format(things=_(", ").join(kit.lacking))]
        if kit.lacking
        else []
    )
    return {
        "drawn": kit.is_drawn,
        "alt": _("The kit from above, to scale; the same in the table below"),
        "mics": [
            [
                leading(mic.key, mic.name),
                mic.right_text,
                mic.front_text,
                mic.plan_text,
                mic.tape_text,
            ]
            for mic in kit.mics
        ],
        "lines": [*kit.problems, *kit.pairs, *lacking],
    }


def link_data(link: LinkView) -> list[str]:
    source = f"{link.source_name} {link.from_socket}".strip()
    target = f"{link.target_name} {link.to_socket}".strip()
    return [source, target, link.cable or link.carries_label, link.length_text or _("not measured")]


def label_sheet(
    production: Production, labels: Sequence[tuple[str, str, str]], *, paper: Paper
) -> bytes:
    """The PDF with labels to cut out, each with a square code that opens its address.

    A label is its name, the line below, and the address.
    """
    pictures = {f"label{n}.svg": qr.for_paper(address) for n, (_, _, address) in enumerate(labels)}
    data = {
        "title": _("Labels, {production}").format(production=production),
        "paper": paper,
        "labels": [
            {"name": name, "below": below, "picture": f"label{n}.svg"}
            for n, (name, below, _) in enumerate(labels)
        ],
    }
    return press("labels.typ", data, pictures=pictures)
