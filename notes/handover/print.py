"""A published handover on paper, whole or one player's: what was published, and each rig as it was.

Words come from what was published. Drawn dials, placement sketches, kit plans and photos are made
from the revision of the rig that was published, which cannot change.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext, gettext_lazy

from core import qr
from core.languages.dates import day
from core.languages.words import apart, each_of, leading, quoted
from core.proof.checkpoints import stamp_of
from notes.handover.drawings import views_of
from notes.handover.in_language import in_language
from notes.handover.in_words import in_words
from notes.handover.note_words import heard_words
from notes.handover.pace import first
from notes.handover.print_rig import rig_data
from notes.handover.publish import read
from notes.models import PublishedHandover
from rigs.paper.pdf import Paper, press
from rigs.paper.pinned import for_paper
from rigs.paper.sheets import printed_at
from rigs.wording import PhotoView, RigView

Plain = dict[str, Any]
MIX_NOTES = (("eq", gettext_lazy("EQ")), ("limiter", gettext_lazy("Limiter")))
NOTE_WORDS = 12  # of a note, beside its photo


def handover_pdf(
    published: PublishedHandover, *, address: str, paper: Paper, player: str = ""
) -> bytes:
    """Tagged PDF (PDF/UA-1) with bookmarks. `player` is the id of the one whose section is wanted.

    As many queries for one rig as for many. Raises LookupError where nobody of that id is in it.
    """
    content = in_words(in_language(read(published)))
    chosen = [s for s in content["sections"] if not player or s["player"]["id"] == player]
    if player and not chosen:
        raise LookupError(gettext("This handover has no such player."))
    views = views_of({**content, "sections": chosen})
    rigs = [rig for each in chosen for rig in each["rigs"]]
    photos, pictures = _photos(published, views, rigs)
    pictures["live.svg"] = qr.for_paper(f"{address}#player-{player}" if player else address)
    sections = [
        {
            "player": each["player"]["name"],
            "instrument": each["player"]["instrument"],
            "record": [_record(row) for row in each.get("record", [])],
            "mixes": [_mix(mix) for mix in each.get("mixes", [])],
            "rigs": [
                rig_data(rig, views[rig["id"]], photos[rig["id"]], pictures) for rig in each["rigs"]
            ],
        }
        for each in chosen
    ]
    data = {
        "title": _title(content, chosen if player else []),
        "heading": gettext("Handover {number}").format(number=published.number),
        "dates": _dates(content),
        "paper": paper,
        "stamp": _stamp(published),
        "by": gettext("Published by {person}, {moment}.").format(
            person=content["by"]["name"], moment=printed_at(published.published_at)
        ),
        "place": content["production"]["name"],
        "sections": sections,
        "general": None if player else _general(content),
    }
    return press("handover.typ", data, pictures=pictures)


def _stamp(published: PublishedHandover) -> str:
    at = published.published_at
    return stamp_of(published.production_id, at, published.digest[:8], printed_at(at))


def _title(content: Plain, chosen: list[Plain]) -> str:
    title = gettext("Handover {number}: {leg}").format(
        number=content["number"], leg=content["leg"]["name"]
    )
    return each_of([title, *(each["player"]["name"] for each in chosen)])


def _photos(
    published: PublishedHandover, views: Mapping[str, RigView], rigs: list[Plain]
) -> tuple[dict[str, list[Plain]], dict[str, bytes]]:
    """By rig, those with pins first, those of open notes last; and the pictures by the names of
    their files. One query."""
    shown = [
        (rig, photo)
        for rig, view in views.items()
        for photo in sorted(view.all_photos(), key=lambda each: not each.pins)
    ]
    shown += [(rig["id"], photo) for rig in rigs for photo in _of_notes(rig)]
    data, pictures = for_paper([photo for _, photo in shown], published.production_id)
    photos: dict[str, list[Plain]] = {rig: [] for rig in views}
    for (rig, _), each in zip(shown, data, strict=True):
        photos[rig].append(each)
    return photos, pictures


def _of_notes(rig: Plain) -> Iterator[PhotoView]:
    """Photos of the open notes of a rig, each with the words of its note."""
    for note in rig["open_notes"]:
        for photo in note.get("photos", []):
            yield PhotoView(
                photo["id"],
                photo["caption"],
                about_name=gettext("with the note “{words}”").format(
                    words=first(heard_words(note), NOTE_WORDS)
                ),
                # Content of schema 4 lacks the size; paper then reads that of the picture.
                width=photo.get("width", 0),
                height=photo.get("height", 0),
                image=photo["image"],
            )


def _dates(content: Plain) -> str:
    leg = content["leg"]
    return gettext("{leg}, {first} to {last}").format(
        leg=leg["name"], first=_day(leg["starts_on"]), last=_day(leg["ends_on"])
    )


def _day(text: str) -> str:
    return day(date.fromisoformat(text))


def _general(content: Plain) -> Plain:
    general = content["general"]
    return {
        "opening": _lines(general["opening"]),
        "cautions": general["cautions"],
        "people": _lines(general["people"]),
        "notes": content["leg"]["notes"],
        "record": [_record(row) for row in general.get("record", [])],
        "mixes": [_mix(mix) for mix in general.get("mixes", [])],
        "shows": [
            [
                _day(show["held_on"]),
                apart([each_of([show["room"], show["town"]]), *show.get("plays", [])]),
                show["mix"],
            ]
            for show in content["leg"]["shows"]
        ],
    }


def _mix(mix: Plain) -> Plain:
    notes = [leading(label, mix[name]) for name, label in MIX_NOTES if mix[name]]
    return {
        "name": mix["name"],
        "about": each_of([mix["whom"], mix["sort"], mix["output"]]),
        "wants": [_want(each) for each in mix["wants"]],
        "notes": [*notes, mix["signed"]] if mix["signed"] else notes,
    }


def _want(want: Plain) -> str:
    said = (
        f"{want['about']} {want['level']} {want['like']}"
        if want["like"]
        else f"{want['level']} {want['about']}".strip()
    )
    return leading(said, quoted(want["words"])) if want["words"] else said


def _record(row: Plain) -> Plain:
    """What to take from a record: the song, where it is heard, and what."""
    where = each_of([row["place"], row["recording"]])
    return {"song": row["song"], "where": where, "take": row["take"], "does": row["does"]}


def _lines(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.strip()]
