"""What a handover says of a production, as plain data: what is compared with a published one.

A fixed number of queries for any number of players and rigs. `notes.handover.content` adds to it
what is only read, not compared.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import F, QuerySet, Window
from django.db.models.functions import RowNumber

from core.languages.choice import as_stored
from core.models import Leg, Player
from core.units import plain
from notes.memos.services import memo_data
from notes.models import Alternative, AlternativeVerdict, Handover, Note, Trial
from notes.monitors.shown import ShownMix, all_shown
from notes.photos.services import photo_data
from notes.queries import for_cards
from notes.signing.states import PartyState, SignOffStatus, sign_off_statuses
from notes.states import unsettled, with_state
from notes.trials.services import placement_fields
from rigs.knob_check.confirming import PanelMark, marks_of
from rigs.models import Rig
from rigs.revisions.writer import iso
from rigs.wording.placement import placement_data

Plain = dict[str, Any]
T = TypeVar("T")
OPEN_NOTES = 30  # of a rig; whoever takes it over reads no more, and the list of notes has them all


@dataclass(frozen=True, slots=True)
class HandoverRecords:
    """The records a handover is made of."""

    leg: Leg
    handover: Handover | None
    players: list[Player]
    rigs: list[Rig]
    sign_offs: dict[UUID, SignOffStatus]
    notes: dict[UUID, list[Note]]
    trials: dict[UUID, list[Trial]]
    rejected: dict[UUID, list[Alternative]]
    mixes: list[ShownMix]
    panels: dict[UUID, list[PanelMark]]

    def rigs_of(self, player: Player) -> list[Rig]:
        return [rig for rig in self.rigs if rig.player_id == player.pk]


def find(leg: Leg, *, lock: bool = False) -> HandoverRecords:
    """`leg` with its production loaded. With `lock`, no rig moves until the transaction ends."""
    players = list(leg.production.players.filter(retired_at=None))
    rigs = Rig.objects.filter(production=leg.production_id, retired=False, player__in=players)
    if lock:
        # Locked before anything of them is read, so that what is read is what is held.
        list(rigs.order_by("pk").select_for_update().values_list("pk"))
    live_rigs = list(rigs.select_related("player"))
    ids = [rig.pk for rig in live_rigs]
    notes = for_cards(with_state(Note.objects.filter(pk__in=list(_newest_open(ids)))))
    trials = Trial.objects.filter(rig__in=ids, decided_at=None).select_related("input")
    # What is published keeps its words, whoever publishes it.
    with as_stored():
        mixes = all_shown(leg.production)
    return HandoverRecords(
        leg,
        Handover.objects.filter(leg=leg).first(),
        players,
        live_rigs,
        sign_off_statuses(live_rigs),
        _by(notes, lambda note: note.rig_id),
        _by(trials, lambda trial: trial.rig_id),
        _by(_rejected(ids), lambda each: each.trial.rig_id),
        mixes,
        _by(marks_of(ids), lambda mark: mark.rig.pk),
    )


def _newest_open(rigs: list[UUID]) -> QuerySet[Any, UUID]:
    """Keys of the newest notes of each rig that are not settled: those that are shown, and one more
    where there are more.

    Read by themselves: together with what a card shows, a database works out all that are left out.
    """
    place = Window(
        RowNumber(), partition_by=[F("rig_id")], order_by=[F("written_at").desc(), F("pk").desc()]
    )
    waiting = unsettled(Note.objects.filter(rig__in=rigs)).order_by()
    return (
        waiting.annotate(place=place).filter(place__lte=OPEN_NOTES + 1).values_list("pk", flat=True)
    )


def _by(rows: Iterable[T], rig_of: Callable[[T], UUID]) -> dict[UUID, list[T]]:
    by_rig: dict[UUID, list[T]] = defaultdict(list)
    for row in rows:
        by_rig[rig_of(row)].append(row)
    return by_rig


def _rejected(rigs: list[UUID]) -> Iterable[Alternative]:
    alternatives = Alternative.objects.filter(
        trial__rig__in=rigs, verdict=AlternativeVerdict.REJECTED
    ).select_related("device", "trial__input", "trial__song")
    return alternatives.order_by("-trial__opened_at", "trial", "position")


def state_of(records: HandoverRecords) -> Plain:
    """The general part and a section for each player, each with what can be compared."""
    return {
        "general": general(records),
        "sections": [section(records, player) for player in records.players],
    }


def general(records: HandoverRecords) -> Plain:
    handover = records.handover
    opening, cautions, people = (
        (handover.opening, handover.cautions, handover.people) if handover else ("", "", "")
    )
    # One caution a line, as the form asks for them.
    lines = (line.strip() for line in cautions.splitlines())
    return {
        "opening": opening,
        "cautions": [line for line in lines if line],
        "people": people,
        **mixes_data(records, None),
    }


def section(records: HandoverRecords, player: Player) -> Plain:
    return {
        "key": f"player-{player.pk}",
        "player": {
            "id": str(player.pk),
            "name": player.name,
            "instrument": player.instrument,
            **spoken(player),
        },
        "rigs": [rig_state(records, rig) for rig in records.rigs_of(player)],
        **mixes_data(records, player.pk),
    }


def spoken(player: Player | None) -> Plain:
    """The language of a player’s words. No key where it is not said, or nobody of them spoke: see
    `mixes_data`."""
    return {"language": player.language} if player is not None and player.language else {}


def mixes_data(records: HandoverRecords, player: UUID | None) -> Plain:
    """The monitor mixes of a player, or of positions. No key where there is none, so that what says
    nothing new keeps the digest by which its readers have read it."""
    mixes = [each for each in records.mixes if each.mix.player_id == player]
    return {"mixes": [_mix(each) for each in mixes]} if mixes else {}


def _mix(each: ShownMix) -> Plain:
    last = each.status.last
    return {
        "id": str(each.mix.pk),
        "name": each.mix.name,
        "whom": each.mix.position,
        "sort": str(each.mix.get_kind_display()),
        "output": each.state.output,
        "eq": each.state.eq,
        "limiter": each.state.limiter,
        "wants": [
            {"level": want.level, "about": want.about, "like": want.like, "words": want.words}
            for want in each.wants
        ],
        "state": str(each.status.state),
        "signed": f"{last.name}: {last.words}" if last and last.words else "",
        "version": each.mix.version,
    }


def rig_state(records: HandoverRecords, rig: Rig) -> Plain:
    status = records.sign_offs[rig.pk]
    return {
        "id": str(rig.pk),
        "name": rig.name,
        "variant": rig.get_variant_display(),
        "revision": rig.head_number,
        "digest": rig.head_digest,
        "sound": _sound(status),
        "parties": [_party(each) for each in status.parties],
        **_panels(records.panels.get(rig.pk, [])),
        "open_notes": [note_data(note) for note in records.notes[rig.pk][:OPEN_NOTES]],
        # No key where these are all: see `mixes_data`.
        **({"open_notes_more": True} if len(records.notes[rig.pk]) > OPEN_NOTES else {}),
        "open_trials": [_trial(trial) for trial in records.trials[rig.pk]],
        "rejected": [_alternative(each) for each in records.rejected[rig.pk]],
    }


def _panels(marks: list[PanelMark]) -> Plain:
    """What was said of its panels after a look at a photo. No key where nothing was: see
    `mixes_data`."""
    told = [
        {
            "name": mark.name,
            "by": mark.check.confirmed_name,
            "at": iso(mark.check.confirmed_at) if mark.check.confirmed_at else None,
            "show": str(mark.check.show) if mark.check.show else "",
            "since": list(mark.since),
        }
        for mark in marks
    ]
    return {"panels": told} if told else {}


def _sound(status: SignOffStatus) -> Plain:
    """The words that the sound goes by: those that were signed, if the player's last word is a
    signature. `written` differs where the rig's words changed after it."""
    signed, last = status.signed_sound, status.player.sign_off
    by = last.name if signed is not None and last else str(status.rig.player)
    return {
        "words": status.rig.sound if signed is None else signed,
        "by": by,
        "signed_at": iso(last.at) if signed is not None and last else None,
        "written": status.rig.sound,
    }


def _party(each: PartyState) -> Plain:
    last = each.sign_off
    return {
        "party": str(each.party),
        "label": each.label,
        "state": str(each.state),
        "sign_off": str(last.pk) if last else None,
        "name": last.name if last else "",
        "at": iso(last.at) if last else None,
        "revision": last.revision.number if last else None,
        "words": last.words if last else "",
        "changes_since": each.changes_since,
    }


def note_data(note: Note) -> Plain:
    """`note` as notes.queries.for_cards fetches it, with its state.

    Photos and a memo only where it has some: a section that says nothing new of it keeps the digest
    by which its readers have read it.
    """
    photos = [photo_data(each) for each in note.shown_photos]  # type: ignore[attr-defined]
    about = [str(each) for each in (*note.inputs.all(), *note.units.all())]
    return {
        "id": str(note.pk),
        "words": note.words,
        "said_by": str(note.said_by_player or note.said_by_name or ""),
        "by_player": note.said_by_player_id is not None,
        **spoken(note.said_by_player),
        "reading": note.reading,
        "verdict": str(note.verdict),
        "state": str(note.state),  # type: ignore[attr-defined]
        "led_to": note.led_to_number,  # type: ignore[attr-defined]
        "about": sorted(about),
        "song": str(note.song or ""),
        "by": str(note.written_by),
        "at": iso(note.written_at),
        **({"photos": photos} if photos else {}),
        **({"memo": memo_data(memo)} if (memo := getattr(note, "memo", None)) else {}),
    }


def _trial(trial: Trial) -> Plain:
    return {
        "id": str(trial.pk),
        "question": trial.question,
        "input": str(trial.input),
        "at": iso(trial.opened_at),
    }


def _alternative(each: Alternative) -> Plain:
    return {
        "id": str(each.pk),
        "trial": str(each.trial_id),
        "question": each.trial.question,
        "input": str(each.trial.input),
        "device": str(each.device),
        "placement": _placement(each),
        "words": each.words,
        "song": str(each.trial.song or ""),
    }


def _placement(each: Alternative) -> Plain:
    """The placement of an alternative as a snapshot of an input has it."""
    names = [name for row in placement_fields() for name in row.stored]
    values = {name: getattr(each, name) for name in names}
    known = {n: plain(v) if isinstance(v, Decimal) else v for n, v in values.items()}
    return dict(placement_data(known))
