"""A production with at least one row in every table that an archive carries.

Where a column may be empty there is a row that leaves it empty, too: such rows are easily lost.
"""

from __future__ import annotations

from datetime import UTC, datetime
from uuid import uuid4

import numpy as np

from core import clock
from core.models import Checkpoint, Player, RehearsalRoom, Removal, RemovedFile, Show
from core.personal.store import keep as keep_text
from core.personal.store import remove, take_out, texts_of
from core.proof.checkpoints import take
from notes.causes.hearing import Heard
from notes.causes.kept import keep
from notes.causes.scatter import Scatter
from notes.linecheck.services import mark
from notes.listening.blind import Round, seal
from notes.models import (
    Acknowledgement,
    Alternative,
    AlternativeClip,
    Answer,
    BlindAnswer,
    BlindSitting,
    BlindTrial,
    ChangeClip,
    Clip,
    Handover,
    Note,
    Question,
    Reminder,
    SignOff,
    Trial,
)
from notes.monitors.services import create
from notes.monitors.state import MixState
from notes.signing.seal import seal_of
from rigs.changes.edits import Add
from rigs.models import (
    BacklineAnswer,
    BacklineChange,
    BacklineLine,
    Changeover,
    ChangeoverMark,
    ChangeoverStep,
    ChangeTimes,
    ControlAtShow,
    FindingWords,
    Input,
    PatchQuestion,
    ShowDep,
    ShowFindingWords,
    ShowInput,
    ShowRig,
    UnitAtShow,
    UnitAtShowChange,
)
from tests.support.everything import fill
from tests.support.listening import change_for, hear
from tests.support.world import World


def fill_all(world: World) -> None:
    fill(world)
    _position(world)
    _listening(world)
    _handover(world)
    _show(world)
    by = world.engineer
    _personal(world)
    _checkpoint(world)
    ChangeTimes.objects.create(production=world.production, change_s=45, string_s=240)
    RehearsalRoom.objects.create(production=world.production, name="The Hayloom")
    FindingWords.objects.create(
        rig=world.rig,
        rule="a-rule",
        parts=[str(world.unit.pk)],
        signature="s",
        said_of="Said",
        words="Known, and as it is to be.",
        by=by,
        by_name=by.name,
    )
    world.record(
        Add(
            str(uuid4()),
            "fact",
            {
                "unit": str(world.unit.pk),
                "key": "speaker_impedance",
                "value": "8",
            },
        )
    )


def _checkpoint(world: World) -> None:
    take(world.production.pk, Checkpoint.Why.ASKED)


def _personal(world: World) -> None:
    """A text that is kept, one that was removed, and one out of which a name was taken."""
    own = world.production.pk
    keep_text(own, "Said in passing.", "words", player=world.player.pk)
    gone = Removal.objects.create(
        production=world.production, person=world.tech, asked_by="person", reason="Asked for it."
    )
    for text in ("Goes.", "Ask Fenwick Oddlaw about it."):
        keep_text(own, text, "words", person=world.tech.pk)
    *_, first, second = texts_of(world.production, person=world.tech)
    remove([first], gone)
    take_out(second, "Ask … about it.", gone)
    RemovedFile.objects.create(production=world.production, sha256="0" * 64, removal=gone)


def _position(world: World) -> None:
    """A mix of no player."""
    create(world.production, MixState("Side fill", position="stage left"), by=world.engineer)


def _listening(world: World) -> None:
    note = hear(world, "It booms in the low E.", units=[world.unit])
    revision = change_for(world, note)
    clip, by = Clip.objects.exclude(name="The other").get(), world.engineer
    ChangeClip.objects.create(revision=revision, clip=clip, side="after", tied_by=by)
    Trial.objects.get().because_of.add(note)
    AlternativeClip.objects.create(alternative=Alternative.objects.get(), clip=clip, tied_by=by)
    sitting = BlindSitting.objects.order_by("pk")[0]
    BlindAnswer.objects.create(sitting=sitting, number=1, x="first")
    signed = SignOff(
        rig=world.rig,
        revision=revision,
        revision_digest=revision.digest,
        party="player",
        decision="signed",
        name="Ines Halloran",
        player=world.player,
        at=clock.now(),
        clip=clip,
    )
    signed.seal = seal_of(signed)
    signed.save(force_insert=True)
    # With what is no number in JSON.
    sound = Heard(
        np.array([-20.125, -np.inf]),
        np.array([0.1, np.inf]),
        np.array([12.0, np.nan]),
        7.0,
        np.eye(2),
        np.array([[-18.5, -140.0], [-22.0, -140.0]]),
    )
    keep(signed, [clip], sound, Scatter(np.array([1.6, 1.7]), 1.5, np.array([1.0, 2.0]), 3))
    _by_link(world)
    Note.objects.create(
        production=world.production,
        rig=world.rig,
        words="“Quoted”\r\n\té 🎸",
        verdict="keep",
        written_by=by,
        written_at=datetime(2026, 3, 1, 23, 59, 59, 999999, tzinfo=UTC),
    )


def _by_link(world: World) -> None:
    """A sitting of a musician without an account."""
    guest = Player.objects.create(production=world.production, name="Sel Okafor")
    order, nonce = [Round("a", "first")], "0" * 64
    BlindSitting.objects.create(
        blind=BlindTrial.objects.get(),
        player=guest,
        order=[list(each) for each in order],
        nonce=nonce,
        seal=seal(order, nonce),
    )


def _handover(world: World) -> None:
    """With and without a player: what is said of everybody."""
    handover, by = Handover.objects.get(), world.engineer
    general = Question.objects.create(handover=handover, words="Whom do we call?", asked_by=by)
    Question.objects.create(handover=handover, player=world.player, words="And?", asked_by=by)
    Answer.objects.create(question=general, words="The manager.", answered_by=by)
    for player in (None, world.player):
        Acknowledgement.objects.create(handover=handover, player=player, user=by)
    Reminder.objects.create(handover=handover, user=by, sent_by=None, sections=1, questions=0)


def _show(world: World) -> None:
    """Marks and differences without another microphone."""
    show, other = Show.objects.get(), uuid4()
    PatchQuestion.objects.create(
        show=show,
        words="Which box?",
        asked_name="Mara Quill (guest)",
        came_by=uuid4(),
        answer="Yours.",
        answered_by=world.engineer,
        answered_by_name="Ana",
        answered_at=clock.now(),
    )
    world.record(Add(str(other), "input", {"number": 77, "name": "Spare line"}))
    line = Input.objects.get(pk=other)
    mark(show, line, state="ok", by=world.engineer)
    ShowInput.objects.create(show=show, input=line, number=99, by_name="Nobody")
    ShowRig.objects.create(show=show, rig=world.rig, plays=False, by_name="Nobody")
    gone = UnitAtShow.objects.create(
        show=show, unit=world.unit, lasts="leg", by_name="Nobody", withdrawn_at=clock.now()
    )
    ControlAtShow.objects.create(row=gone, name="Drive", setting="1:00")
    UnitAtShowChange.objects.create(row=gone, words=["As documented again."], by_name="Nobody")
    ShowDep.objects.create(show=show, player=world.player, name="Nobody else", by_name="Nobody")
    asked = BacklineLine.objects.create(leg=show.leg, show=show, what="Drum carpet")
    BacklineAnswer.objects.create(line=asked, show=show, came_count=1)
    BacklineChange.objects.create(line=asked, words=["Asked for: a carpet."], by_name="Nobody")
    plan = Changeover.objects.get()
    ChangeoverMark.objects.create(changeover=plan, what="start", by_name="Nobody")
    ChangeoverStep.objects.create(changeover=plan, words="Carpet off", part="strike", name="Bo")
    ShowFindingWords.objects.create(
        show=show,
        rule="another-rule",
        parts=[str(line.pk)],
        signature="t",
        said_of="Said of the show",
        words="Known, too.",
        by_name="Nobody",
    )
