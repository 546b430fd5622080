"""Play the story's events through the services that the pages use."""

from __future__ import annotations

from decimal import Decimal
from functools import singledispatch
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.files.base import ContentFile

from core.units import parse_length
from notes.demo import story
from notes.demo.cast import ENGINEER
from notes.demo.pictures import jpeg
from notes.demo.stage import DemoStage
from notes.demo.voice import memo
from notes.handover import services as handing
from notes.handover.publish import publish
from notes.journal.reasons import change_because
from notes.journal.services import NoteContent, follow_up, settle, write_note, write_out
from notes.memos.prepare import PreparedMemo, prepare_memo
from notes.models import Alternative, ListeningSession, Trial
from notes.photos.services import add_photos as attach_photos
from notes.signing import requests
from notes.signing.services import sign
from notes.trials.decide import choose, doubtful
from notes.trials.services import add_alternative, give_verdict, open_trial
from rigs.changes.edits import Add, Set
from rigs.changes.reasons import NO_REASON, Reason, ReasonKind
from rigs.models import Input, Rig, Spare, Unit
from rigs.photos.prepare import Prepared, prepare
from rigs.photos.services import add_photos
from rigs.revisions.record import record
from rigs.revisions.swaps import swap_of
from rigs.upkeep.services import note_done


@singledispatch
def apply(event: Any, stage: DemoStage) -> None:
    """Carry out `event` on `stage`. Each kind of event has a handler. Raises TypeError for others."""
    raise TypeError(f"Nobody knows how to apply {event!r}.")


@apply.register
def _(event: story.Session, stage: DemoStage) -> None:
    ListeningSession.objects.create(
        production=stage.production,
        name=event.name,
        held_on=event.when.date(),
        place=event.place,
        show=stage.shows.get(event.show),
    )


@apply.register
def _(event: story.Heard, stage: DemoStage) -> None:
    is_said = bool(event.words or event.memo_hz)
    player = stage.players.get(event.said_by) if is_said else None
    song = stage.songs.get(event.song)
    heard = NoteContent(
        verdict=event.verdict,
        words=event.words,
        said_by_player=player,
        said_by_name="" if player or not is_said else event.said_by,
        reading=event.reading,
        inputs=[input_of(stage, event.rig, name) for name in event.inputs],
        units=[Unit.objects.get(pk=stage.ids[event.rig]("unit", name)) for name in event.units],
        song=song,
        section=song.sections.get(name=event.section) if song and event.section else None,
        take=event.take,
        session=ListeningSession.objects.filter(
            production=stage.production, name=event.session
        ).first(),
        memo=_memo(event.memo_hz) if event.memo_hz else None,
    )
    rig = stage.rigs[event.rig]
    by = stage.people[event.by]
    note = stage.notes[event.key] = write_note(rig=rig, heard=heard, by=by)
    for scene, caption in event.photos:
        attach_photos(note, [prepared(scene)], caption=caption, by=by)


def _memo(pitch_hz: float) -> PreparedMemo:
    return prepare_memo(ContentFile(memo(pitch_hz), name="Voice memo.wav"))


@apply.register
def _(event: story.WrittenOut, stage: DemoStage) -> None:
    note = stage.notes[event.note]
    note.refresh_from_db()
    write_out(note=note, words=event.words, by=stage.people[event.by])


@apply.register
def _(event: story.Changed, stage: DemoStage) -> None:
    rig, author = fresh(stage, event.rig), stage.people[event.by]
    edits = [edit_of(stage, event)]
    if event.because:
        notes = [stage.notes[key] for key in event.because]
        revision = change_because(
            rig, edits, notes=notes, words=event.words, author=author, base=rig.head_number
        )
    else:
        kind = ReasonKind(event.circumstance) if event.circumstance else None
        reason = Reason(kind, event.words) if kind else NO_REASON
        revision = record(rig, edits, author=author, base=rig.head_number, reason=reason)
    if event.key and revision is not None:
        stage.changes[event.key] = revision


@apply.register
def _(event: story.Followed, stage: DemoStage) -> None:
    first = stage.notes[event.note]
    heard = NoteContent(
        verdict=event.verdict,
        reading=event.words,
        inputs=list(first.inputs.all()),
        song=first.song,
        section=first.section,
    )
    follow_up(
        revision=stage.changes[event.change],
        heard=heard,
        outcome=event.outcome,
        by=stage.people[event.by],
    )


@apply.register
def _(event: story.Settled, stage: DemoStage) -> None:
    settle(note=stage.notes[event.note], words=event.words, by=stage.people[event.by])


def fresh(stage: DemoStage, name: str) -> Rig:
    rig = stage.rigs[name]
    # Events before this one may have changed the rig, and each edit names the newest change.
    rig.refresh_from_db()
    return rig


def input_of(stage: DemoStage, rig: str, name: str) -> Input:
    return Input.objects.get(pk=stage.ids[rig]("input", name))


def edit_of(stage: DemoStage, event: story.Changed) -> Set:
    ids = stage.ids[event.rig]
    if "/" in event.what:
        return Set(ids("control", event.what), "control", event.to)
    fields = input_fields(stage, event.to)
    return Set(
        ids("input", event.what), "input", fields | safe_at(stage, event.rig, event.what, fields)
    )


def safe_at(stage: DemoStage, rig: str, name: str, fields: dict[str, Any]) -> dict[str, Any]:
    """The values that are proposed as safe where an input gets another device, all taken over."""
    swaps = swap_of(input_of(stage, rig, name), **fields)
    return {field: value for swap in swaps for field, value in swap.safe.items()}


def input_fields(stage: DemoStage, to: dict[str, str]) -> dict[str, Any]:
    """Fields of an input from the story's short words."""
    fields: dict[str, Any] = {}
    for name, value in to.items():
        if name == "device":
            fields["device"] = str(stage.devices[value].pk)
            fields["phantom"] = stage.devices[value].phantom
        elif name == "distance":
            length = parse_length(value)
            fields |= {"distance_m": length.metres, "distance_unit": length.unit}
        elif name == "angle":
            fields["angle_deg"] = value
        elif name == "polarity":
            fields["reversed_polarity"] = value == "reversed"
        elif name == "phantom":
            fields["phantom"] = value == "yes"
        else:
            fields[name] = value
    return fields


@apply.register
def _(event: story.Tried, stage: DemoStage) -> None:
    by = stage.people[ENGINEER]
    tried = open_trial(
        input=input_of(stage, event.rig, event.input),
        question=event.question,
        by=by,
        song=stage.songs.get(event.song),
        because_of=[stage.notes[k] for k in event.because],
    )
    options = {name: _alternative(stage, tried, name, more) for name, *more in event.alternatives}
    if event.chosen:
        base = fresh(stage, event.rig).head_number
        chosen = options[event.chosen]
        safe = {field: value for swap in doubtful(chosen) for field, value in swap.safe.items()}
        trial = choose(
            alternative=chosen,
            words=event.decision,
            by=by,
            base=base,
            decided=safe | event.settings,
        )
        if event.key and trial.revision is not None:
            stage.changes[event.key] = trial.revision


def _alternative(stage: DemoStage, trial: Trial, name: str, more: list[Any]) -> Alternative:
    to, verdict, words = more
    placement = input_fields(stage, to)
    made = add_alternative(trial=trial, device=stage.devices[name], placement=placement)
    # The chosen one was a possible one until it was chosen.
    shown_verdict = "possible" if verdict == "chosen" else verdict
    return give_verdict(alternative=made, verdict=shown_verdict, words=words)


@apply.register
def _(event: story.Signed, stage: DemoStage) -> None:
    rig = fresh(stage, event.rig)
    user = stage.people.get(event.by)
    if user is not None:
        sign(
            rig=rig,
            party=event.party,
            decision=event.decision,
            words=event.words,
            user=user,
            revision=rig.head_number,
            clip=stage.clips.get(event.clip),
        )
        return
    # A musician without an account signs by a one-time link, as on a phone.
    asked = requests.ask(
        rig=rig,
        revision=rig.head_number,
        by=stage.people[ENGINEER],
        address=lambda token: token,
        clip=stage.clips.get(event.clip),
    )
    requests.answer(token=asked.url, decision=event.decision, words=event.words)


def prepared(scene: str) -> Prepared:
    return prepare(
        jpeg(scene), max_bytes=settings.PHOTO_MAX_BYTES, max_pixels=settings.PHOTO_MAX_PIXELS
    )


@apply.register
def _(event: story.Pictured, stage: DemoStage) -> None:
    picture = prepared(event.scene)
    about = UUID(stage.ids[event.rig](event.kind, event.name)) if event.kind else None
    author = stage.people[event.by]
    brought = add_photos(
        fresh(stage, event.rig),
        [picture],
        about=about,
        caption=event.caption,
        author=author,
        view=event.view,
    ).revision
    if event.pins and brought is not None:
        photo = str(brought.changes.get().part)
        # After the photo, whose id is made as it is stored.
        pins = [_pin(stage, event, photo, n) for n in range(len(event.pins))]
        record(brought.rig, pins, author=author, base=brought.number)


def _pin(stage: DemoStage, event: story.Pictured, photo: str, number: int) -> Add:
    ids, pin = stage.ids[event.rig], event.pins[number]
    return Add(
        ids("pin", f"{event.caption}/{number}"),
        "pin",
        {
            "photo": photo,
            "about": ids(pin.kind, pin.name) if pin.kind else None,
            # The story says per cent, the gateway keeps shares of the width and height.
            "x": Decimal(pin.x) / 100,
            "y": Decimal(pin.y) / 100,
            "words": pin.words,
            "cap_radius": Decimal(pin.radius) / 100 if pin.radius else None,
            "cap_setting": pin.setting,
            "position": number + 1,
        },
    )


@apply.register
def _(event: story.Renewed, stage: DemoStage) -> None:
    part = stage.ids[event.rig]("spare", f"{event.unit}/{event.what}")
    note_done(spare=Spare.objects.get(pk=part), by=stage.people[event.by], words=event.words)


@apply.register
def _(event: story.HandoverSpec, stage: DemoStage) -> None:
    handover = handing.handover_of(stage.legs[event.leg])
    handover.opening, handover.cautions, handover.people = (
        event.opening,
        event.cautions,
        event.people,
    )
    handover.save()


@apply.register
def _(event: story.Published, stage: DemoStage) -> None:
    publish(leg=stage.legs[event.leg], by=stage.people[event.by])


@apply.register
def _(event: story.Read, stage: DemoStage) -> None:
    for name in event.players:
        handing.acknowledge(
            leg=stage.legs[event.leg],
            user=stage.people[event.by],
            player=stage.players.get(name),
        )


@apply.register
def _(event: story.Asked, stage: DemoStage) -> None:
    question = handing.ask(
        leg=stage.legs[event.leg],
        user=stage.people[event.by],
        words=event.words,
        player=stage.players.get(event.player),
        owed_by=stage.people.get(event.owed_by),
    )
    if event.answer:
        handing.answer(question=question, user=stage.people[event.answered_by], words=event.answer)
