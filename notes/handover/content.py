"""All that a published handover says, as plain data that needs no other record to be read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from core.languages.choice import as_stored
from core.models import Leg, Production, Show, User
from core.personal.store import keep
from core.services.research import research_of
from notes.handover.changes import changes_data
from notes.handover.period import Period, period_of
from notes.handover.sheet import figures_of, sheet_of, sums_of
from notes.handover.state import HandoverRecords, general, section
from notes.signing.since import NONE, since
from rigs.changes.chain import canonical, sha256
from rigs.checks.acceptance import findings_with_words
from rigs.checks.findings import Finding
from rigs.checks.panels import shown
from rigs.revisions.many import as_of_many
from rigs.revisions.writer import iso
from rigs.shows.players import WhoPlays, who_plays_at
from rigs.wording import snapshot_views
from rigs.wording.lengths import length_data, length_in

Plain = dict[str, Any]
SCHEMA = 7
# Those that were written once and are still read: 1 had no pins, kit plan, songs and records, 2 did
# not say where a unit stands on stage and in which case it travels, 3 had lengths and places of
# microphones in words, 4 had figures, other settings of inputs and values that changed in words,
# 5 had no monitor mixes, 6 had names and quotations in it and not apart.
SCHEMAS = frozenset({1, 2, 3, 4, 5, 6, SCHEMA})
GENERAL = "general"
# What says when and by whom rather than what: not asked when two are compared for being the same.
_OCCASION = frozenset({"number", "previous", "at", "by", "between", "id"})


def content_of(records: HandoverRecords) -> Plain:
    """The whole handover without number, time and author. A fixed number of queries."""
    # What is sealed, and the digest of what was read, do not depend on who asks.
    with as_stored():
        return _content_of(records)


def _content_of(records: HandoverRecords) -> Plain:
    leg, period = records.leg, period_of(records.leg)
    sections, heard = _sections(records, period), _records(leg.production)
    for each in sections:
        each["record"] = heard.get(UUID(each["player"]["id"]), [])
    return {
        "schema": SCHEMA,
        "production": {"id": str(leg.production_id), "name": leg.production.name},
        "leg": _leg(leg),
        "period": {
            "leg": str(period.previous) if period.previous else "",
            "since": iso(period.since) if period.since else None,
        },
        GENERAL: {**general(records), "record": heard.get(None, [])},
        "sections": sections,
    }


def _records(production: Production) -> dict[UUID | None, list[Plain]]:
    """What to take from the records, by the player it is for; None for what concerns all."""
    by_player: dict[UUID | None, list[Plain]] = defaultdict(list)
    for each in research_of(production):
        by_player[each.player_id].append(
            {
                "song": each.song.title,
                "recording": each.recording,
                "place": each.place,
                "does": each.does,
                "take": each.take,
                "by": each.written_by.name,
            }
        )
    return by_player


def same(one: Plain, other: Plain) -> bool:
    """Whether two say the same, whoever published them and when."""
    # As bytes, since these are what is published: True equals 1 in Python, and not in JSON.
    return canonical(_lasting(one)) == canonical(_lasting(other))


def _lasting(content: Plain) -> Plain:
    return {key: value for key, value in content.items() if key not in _OCCASION}


def outline_of(content: Plain) -> list[Plain]:
    """Key, player, title and digest of each section, the general part first."""
    common = {key: content[key] for key in (GENERAL, "leg")}
    # The leg is of the general part, so that a show that moves makes it unread.
    first = {"key": GENERAL, "player": None, "title": "General part", "digest": _digest(common)}
    return [
        first,
        *(
            {
                "key": each["key"],
                "player": each["player"]["id"],
                "title": each["player"]["name"],
                "digest": _digest(each),
            }
            for each in content["sections"]
        ),
    ]


def _digest(part: Plain) -> str:
    return sha256(canonical(part))


def stamped(content: Plain, *, number: int, previous: str | None, by: User, at: str) -> Plain:
    """`previous` is the digest of the one published before, which chains the two."""
    who = {"id": str(by.pk), "name": _name_of(by, content)}
    return {**content, "number": number, "previous": previous, "by": who, "at": at}


def _name_of(by: User, content: Plain) -> str:
    return keep(UUID(content["production"]["id"]), by.name, "name", person=by.pk)


def _leg(leg: Leg) -> Plain:
    shows = list(leg.shows.filter(retired_at=None))
    for show in shows:
        show.leg = leg
    who = who_plays_at(shows)
    return {
        "id": str(leg.pk),
        "name": leg.name,
        "starts_on": leg.starts_on.isoformat(),
        "ends_on": leg.ends_on.isoformat(),
        "notes": leg.notes,
        "shows": [_show(show, who[show.pk]) for show in shows],
    }


def _show(show: Show, who: WhoPlays) -> Plain:
    """Who plays only where a dep or a guest does: a general part that says nothing new keeps the
    digest by which its readers have read it."""
    return {
        "held_on": show.held_on.isoformat(),
        "room": show.room,
        "town": show.town,
        "mix_distance": length_data(length_in(show, "mix_distance")),
        "notes": show.notes,
        **({"plays": who.said} if who.said else {}),
    }


def _sections(records: HandoverRecords, period: Period) -> list[Plain]:
    changed = since(records.rigs, period.known([rig.pk for rig in records.rigs]))
    # Read once, for the findings and for the sheets.
    states = as_of_many({rig.pk: rig.head_number for rig in records.rigs})
    findings = findings_with_words(records.rigs, states)
    views = snapshot_views({rig: states[rig.pk] for rig in records.rigs})
    figures = figures_of(records.leg.production_id)
    sums = sums_of(photo.image for view in views.values() for photo in view.all_photos())
    sections = [section(records, player) for player in records.players]
    by_id = {str(rig.pk): rig for rig in records.rigs}
    for entry in (entry for each in sections for entry in each["rigs"]):
        rig = by_id[entry["id"]]
        entry |= sheet_of(views[rig], figures, sums)
        entry |= {
            # Without a leg before this one every rig would be new, so none is called so.
            "is_new": period.previous is not None and period.covers(rig.made_at),
            "changes": changes_data(changed.get(rig.pk, NONE)),
            # What the checks found and nobody accepted.
            "findings": findings_data(one.finding for one in shown(findings[rig.pk]).open),
        }
    return sections


def findings_data(findings: Iterable[Finding]) -> list[Plain]:
    return [
        {
            "severity": each.severity.value,
            "title": each.title,
            "why": each.why,
            "mend": each.mend,
            "sure": each.certainty.value,
        }
        for each in findings
    ]


def known_revisions(content: Plain) -> dict[str, int]:
    """The number of the revision that each rig was at."""
    return {rig["id"]: rig["revision"] for each in content["sections"] for rig in each["rigs"]}


def rigs_of(content: Plain) -> list[Plain]:
    return [rig for each in content["sections"] for rig in each["rigs"]]
