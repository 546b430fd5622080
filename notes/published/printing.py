"""A published handover on paper, whole or one player's: what was published, and each rig as it was.

Words come from what was published. Drawn dials, placement sketches and photos are made from the
revision of the rig that was published, which cannot change.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from django.utils.text import capfirst

from notes.models import PublishedHandover
from notes.published.publishing import read
from rigs.describing import snapshot_view
from rigs.drawing.placement import alternative, placement_sketch
from rigs.models import Rig
from rigs.paper.parts import input_data, unit_data
from rigs.paper.pinned import for_paper, pinned_photos
from rigs.paper.press import Paper, press
from rigs.paper.sheets import printed_at, square
from rigs.revisions.read import as_of

Plain = dict[str, Any]


def handover_pdf(
    published: PublishedHandover, *, address: str, paper: Paper, player: str = ""
) -> bytes:
    """Tagged PDF (PDF/UA-1) with bookmarks. `player` is the id of the one whose section is wanted.

    Raises LookupError where nobody of that id is in it.
    """
    content = read(published)
    chosen = [s for s in content["sections"] if not player or s["player"]["id"] == player]
    if player and not chosen:
        raise LookupError("This handover has no such player.")
    pictures = {"live.svg": square(address)}
    rigs = Rig.objects.select_related("player", "production").in_bulk(
        [rig["id"] for section in chosen for rig in section["rigs"]], field_name="pk"
    )
    by_id = {str(key): rig for key, rig in rigs.items()}
    sections = [
        {
            "player": section["player"]["name"], "instrument": section["player"]["instrument"],
            "rigs": [_rig(rig, by_id[rig["id"]], pictures) for rig in section["rigs"]],
        }
        for section in chosen
    ]  # fmt: skip
    data = {
        "title": f"Handover {published.number}: {content['leg']['name']}",
        "heading": f"Handover {published.number}", "dates": _dates(content), "paper": paper,
        "stamp": f"{published.digest[:8]} · {printed_at(published.published_at)}",
        "place": content["production"]["name"], "sections": sections,
        "general": None if player else _general(content),
    }  # fmt: skip
    return press("handover.typ", data, pictures=pictures)


def _dates(content: Plain) -> str:
    leg = content["leg"]
    return f"{leg['name']}, {_day(leg['starts_on'])} to {_day(leg['ends_on'])}"


def _day(text: str) -> str:
    found = date.fromisoformat(text)
    return f"{found.day} {found:%b %Y}"


def _general(content: Plain) -> Plain:
    general = content["general"]
    return {
        "opening": _lines(general["opening"]), "cautions": general["cautions"],
        "people": _lines(general["people"]),
        "shows": [
            [_day(show["held_on"]), ", ".join(filter(None, [show["room"], show["town"]])),
             show["mix"]]
            for show in content["leg"]["shows"]
        ],
    }  # fmt: skip


def _lines(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.strip()]


def _rig(said: Plain, rig: Rig, pictures: dict[str, bytes]) -> Plain:
    view = snapshot_view(rig, as_of(rig, said["revision"]))
    short = said["id"][:8]
    photos, shown = for_paper(pinned_photos(view), rig.production_id, prefix=f"photo-{short}-")
    pictures.update(shown)
    units, inputs = [], []
    for n, unit in enumerate(view.units):
        data, drawn = unit_data(unit, f"unit-{short}-{n}")
        pictures.update(drawn)
        units.append(data)
    for n, entry in enumerate(view.inputs):
        sketch, name = placement_sketch(entry), f"input-{short}-{n}.svg"
        if sketch:
            pictures[name] = sketch.encode()
        inputs.append({
            **input_data(entry), "sketch": name if sketch else "", "said": alternative(entry),
        })  # fmt: skip
    return {
        "name": f"{said['name']}, {said['variant']}",
        "stamp": f"change {said['revision']} · {said['digest'][:8]}",
        "sound": said["sound"]["words"],
        "parties": [_party(party) for party in said["parties"]],
        "cautions": [f"{each['about']}: {each['text']}" for each in said["cautions"]],
        "changes": [_change(told) for told in said["changes"]["told"]],
        "rejected": [_rejected(each) for each in said["rejected"]],
        "open": [*_open(said)],
        "units": units, "inputs": inputs, "photos": photos,
    }  # fmt: skip


def _party(party: Plain) -> str:
    if party["at"] is None:
        return f"{capfirst(party['label'])}: has not signed."
    did = "withheld" if party["state"] == "withheld" else f"signed change {party['revision']}"
    since = party["changes_since"]
    more = f"; {since} change{'' if since == 1 else 's'} since" if since else ""
    words = f" “{party['words']}”" if party["words"] else ""
    at = printed_at(datetime.fromisoformat(party["at"]))
    return f"{capfirst(party['label'])}: {party['name']} {did}, {at}{more}.{words}"


def _change(told: Plain) -> Plain:
    return {
        "name": told["name"],
        "what": "; ".join(line["text"] for line in told["lines"]),
        "why": " ".join(_why(why) for why in told["why"]),
    }


def _why(why: Plain) -> str:
    heard = [f"“{note['words']}” ({note['said_by']})" for note in why["notes"] if note["words"]]
    words = [why["reason"].capitalize(), why["words"], *heard]
    return (
        f"Change {why['number']}: {'. '.join(w.rstrip('.') for w in words if w)}."
        if any(words)
        else ""
    )


def _rejected(each: Plain) -> str:
    place = f", {each['place']}" if each["place"] else ""
    words = f": {each['words']}" if each["words"] else "."
    return f"{each['input']}: {each['device']}{place}{words}"


def _open(said: Plain) -> Iterator[str]:
    for note in said["open_notes"]:
        who = f" ({note['said_by']})" if note["said_by"] else ""
        about = f"{', '.join(note['about'])}: " if note["about"] else ""
        yield f"{about}{note['words'] or note['reading']}{who}"
    for trial in said["open_trials"]:
        yield f"On trial, {trial['input']}: {trial['question']}"
