"""One of everything in a production, so that every address leads somewhere."""

from __future__ import annotations

import io
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import numpy as np
from PIL import Image

from core import clock
from core.guests.links import share
from core.links import make_link
from core.models import (
    GuestLink,
    Leg,
    OneTimeLink,
    Research,
    Section,
    SetChange,
    SetEntry,
    Show,
    ShowSet,
    Song,
)
from core.models.roles import Role
from notes.blind.services import begin, open_blind
from notes.causes.taken_up import say_outcome
from notes.handover.publish import publish
from notes.linecheck.services import mark
from notes.models import (
    Alternative,
    BlindTrial,
    CapturePair,
    Clip,
    EarlierWords,
    Handover,
    ListeningSession,
    MixWish,
    MonitorMix,
    NamedCause,
    Note,
    NoteMemo,
    NotePhoto,
    PublishedHandover,
    Question,
    RecordedFile,
    Recording,
    StoredSound,
    Take,
    Trial,
)
from notes.monitors.services import create
from notes.monitors.signing import sign as sign_mix
from notes.monitors.state import MixState, Want
from notes.monitors.wishes import mark as mark_wish
from notes.monitors.wishes import wish
from notes.photos.services import add_photos as attach
from notes.signing.services import sign
from notes.takes.levels import Levels
from rigs.backline.services import save_answer, save_line
from rigs.carnet.services import save_goods
from rigs.changeover.services import change as plan_changeover
from rigs.changeover.services import mark_step
from rigs.changeover.state import Plan, Step
from rigs.changes.edits import Add
from rigs.list_import.services import import_list
from rigs.models import (
    BacklineAnswer,
    BacklineLine,
    CarnetGoods,
    ChangeoverStep,
    Group,
    LentLine,
    Link,
    ListImport,
    MainsDrop,
    PanelCheck,
    PatchBox,
    PatchBoxAtShow,
    PatchChange,
    PatchLine,
    PatchQuestion,
    PatchRun,
    Photo,
    Pin,
    PlotChange,
    PlotPlace,
    Riser,
    Scene,
    ShowHire,
    Spare,
    StageSize,
    StoredPhoto,
    TurnBack,
    Unit,
    UnitAtShow,
    UpkeepEntry,
)
from rigs.photos.prepare import Prepared, prepare
from rigs.photos.services import add_photos
from rigs.shows.services import differ
from rigs.tonight.services import Dial, say
from rigs.upkeep.services import note_done
from tests.support.sounds import bring_clip
from tests.support.world import World


def fill(world: World) -> None:
    """Add to the small production what it lacks."""
    production, engineer = world.production, world.engineer
    cabinet, cable, spare, group = (str(uuid4()) for _ in range(4))
    world.record(
        Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet"}),
        Add(cable, "link", {"source": str(world.unit.pk), "target": cabinet}),
        Add(group, "group", {"name": "the amp"}),
        Add(str(uuid4()), "member", {"group": group, "unit": cabinet}),
        Add(str(uuid4()), "source", {"input": str(world.input.pk), "group": group}),
        Add(spare, "spare", {"unit": str(world.unit.pk), "sort": "fuse", "what": "T 1 A 250 V"}),
    )
    note_done(spare=Spare.objects.get(pk=spare), by=engineer)
    fill_scenes(world)
    add_photos(world.rig, [picture()], about=None, caption="The whole rig", author=engineer)
    pin = {"photo": str(Photo.objects.get().pk), "about": str(world.control.pk)}
    world.record(Add(str(uuid4()), "pin", {**pin, "x": "0.25", "y": "0.5"}))
    leg = Leg.objects.create(
        production=production, name="Leg", starts_on=date(2026, 9, 1), ends_on=date(2026, 9, 30)
    )
    show = Show.objects.create(leg=leg, held_on=date(2026, 9, 2), room="Room")
    differ(
        show, world.input, by=engineer, device=world.other_mic, why="hire", words="Ours is late."
    )
    mark(show, world.input, state="deviates", by=engineer)
    say(
        show,
        world.unit,
        by=engineer,
        what="set",
        dials=[Dial("9:00", about=str(world.control.pk), name="Gain")],
        photo=StoredPhoto.objects.first(),
    )
    ShowHire.objects.create(show=show, section="devices", what="Corvane Eskvane 4", by=engineer)
    fill_panels(world, show)
    fill_patch(world, show)
    fill_plot(world, show)
    line = BacklineLine(leg=leg, what="Bass cabinet, 4 × 10 in", wanted="Corvane Hull 410")
    save_line(line, by=engineer)
    save_answer(BacklineAnswer(line=line, show=show, offered="Corvane Hull 410"), by=engineer)
    step = Step(str(uuid4()), words="Drum riser on", who=f"user:{engineer.pk}", planned_s=180)
    plan_changeover(show, Plan((step,), 1200), base=0, by=engineer)
    mark_step(show, UUID(step.id), "done", by=engineer)
    song = Song.objects.create(production=production, title="Song")
    Section.objects.create(song=song, name="Verse")
    own = ShowSet.objects.create(show=show, version=1)
    SetEntry.objects.create(set=own, song=song)
    SetChange.objects.create(set=own, number=1, words=["Begun."], by=engineer, by_name="Ana")
    Research.objects.create(song=song, player=world.player, take="The thump.", written_by=engineer)
    world.record(
        Add(
            str(uuid4()),
            "song_setting",
            {
                "song": str(song.pk),
                "control": str(world.control.pk),
                "value": "4:00",
            },
        )
    )
    session = ListeningSession.objects.create(
        production=production, name="Rehearsal", held_on=date(2026, 9, 1)
    )
    Note.objects.create(
        production=production,
        rig=world.rig,
        words="Too boomy.",
        verdict="adjust",
        written_by=engineer,
    )
    attach(Note.objects.get(), [picture()], caption="The fret buzz", by=engineer)
    import_list(
        production=production,
        by=engineer,
        name="list.csv",
        data=b"Channel,Name,Player\n9,Bass mic,Ines Halloran\n",
    )
    trial = Trial.objects.create(
        production=production,
        rig=world.rig,
        input=world.input,
        question="Less boom?",
        opened_by=engineer,
    )
    Alternative.objects.create(trial=trial, device=world.other_mic)
    handover = Handover.objects.create(leg=leg)
    Question.objects.create(handover=handover, words="Which fuse?", asked_by=engineer)
    publish(leg=leg, by=engineer)
    clip = bring_clip(world, note=Note.objects.get())
    NoteMemo.objects.create(
        note=Note.objects.get(),
        sound=clip.sound,
        preview=clip.preview,
        preview_bytes=clip.preview_bytes,
    )
    EarlierWords.objects.create(note=Note.objects.get(), words="Too boomy.", changed_by=engineer)
    fill_recording(world, session, clip.sound)
    fill_causes(world, clip)
    fill_blind(world, trial)
    fill_mixes(world, show)
    share(
        production=production,
        kind="rig",
        subject=world.rig.pk,
        by=engineer,
        for_whom="House engineer",
        until=date.today() + timedelta(days=7),
        address=str,
    )
    make_link(
        production=production,
        purpose=OneTimeLink.Purpose.INVITATION,
        details={"roles": ["crew"]},
        made_by=engineer,
        days=7,
    )


def fill_panels(world: World, show: Show) -> None:
    """Add a photo of a panel, on which a knob was seen turned, and is to be turned back."""
    photo, engineer = Photo.objects.get(), world.engineer
    reading = {
        "pin": str(Pin.objects.get().pk),
        "control": str(world.control.pk),
        "name": str(world.control),
        "shown": world.control.setting,
        "kind": "knob",
        "turn": 40.0,
        "reason": "",
        "circle": [0.25, 0.5, 0.05],
        "seen": [16.0, 0.0, 0.0, 16.0, 80.0, 120.0],
    }
    check = PanelCheck.objects.create(
        reference=photo,
        before=photo.image,
        image=photo.image,
        show=show,
        readings=[reading],
        plane=[1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0],
        by=engineer,
        by_name="Ana",
        # So that it stays: one to which nobody has said anything may be thrown away.
        confirmed_by=engineer,
        confirmed_name="Ana",
        confirmed_at=clock.now(),
        confirmed_in=1,
    )
    TurnBack.objects.create(
        panel_check=check, control=world.control, seen="3:20", by=engineer, by_name="Ana"
    )


def fill_patch(world: World, show: Show) -> None:
    """Add a box that a sub-snake is plugged into, a way of an input, and one that is lent."""
    production, engineer = world.production, world.engineer
    box = PatchBox.objects.create(production=production, name="Stage box A", mark="A")
    snake = PatchBox.objects.create(
        production=production, name="Drum snake", mark="D", kind="snake", ways=8, to_desk=False
    )
    PatchRun.objects.create(source=snake, target=box, count=8)
    PatchLine.objects.create(input=world.input, box=snake, way=1, by=engineer, by_name="Ana")
    LentLine.objects.create(
        show=show, act="The Kestrel Lamps", what="Four voices", box=box, first=9, count=4
    )
    PatchBoxAtShow.objects.create(show=show, box=snake, name="House snake", ways=8)
    PatchChange.objects.create(
        production=production, show=show, words=["Guitar mic: D 1."], by=engineer, by_name="Ana"
    )
    PatchQuestion.objects.create(
        show=show, ways=["7 Bass mic"], words="Is that one ours?", asked_name="Mara Quill (guest)"
    )


def fill_plot(world: World, show: Show) -> None:
    """Add a stage, a riser, a drop of mains, the place of a unit, and goods of a carnet list."""
    production, engineer = world.production, world.engineer
    size = {"width_m": "10", "depth_m": "8"}
    StageSize.objects.create(production=production, **size)
    StageSize.objects.create(production=production, show=show, **size)
    place = {"right_m": "-2", "up_m": "3"}
    Riser.objects.create(
        production=production, name="Drum riser", width_m="2", depth_m="2", height_m="0.4", **place
    )
    MainsDrop.objects.create(production=production, name="Backline", volts=230, amps=16, **place)
    PlotPlace.objects.create(production=production, unit=world.unit, **place)
    save_goods(CarnetGoods(production=production, what="Microphone stand, tall"), by=world.engineer)
    PlotChange.objects.create(
        production=production, show=show, words=["Stage: 10 m wide"], by=engineer, by_name="Ana"
    )


def fill_scenes(world: World) -> None:
    """Add a switcher with a scene that turns the control of the small production."""
    switcher, scene = str(uuid4()), str(uuid4())
    turned = {"scene": scene, "what": "control", "control": str(world.control.pk), "value": "1:00"}
    world.record(
        Add(switcher, "unit", {"name": "Switcher", "gear": "switcher"}),
        Add(scene, "scene", {"unit": switcher, "slot": "1", "name": "Chorus"}),
        Add(str(uuid4()), "scene_entry", turned),
    )


def fill_mixes(world: World, show: Show) -> None:
    """Add a mix that its player signed, and a wish that is done."""
    want = Want(str(uuid4()), "more", (f"input:{world.input.pk}",), words="I need the thump.")
    state = MixState("Wedge Ines", "wedge", str(world.player.pk), wants=(want,))
    mix = create(world.production, state, by=world.engineer)
    sign_mix(mix=mix, version=1, decision="signed", player=world.player)
    wished = wish(mix, show, "Less of everything.", by=world.engineer)
    mark_wish(wished, "done", by=world.engineer, may_edit=True)


def fill_recording(world: World, session: ListeningSession, sound: StoredSound) -> None:
    """Add a recording with a take that somebody named."""
    recording = Recording.objects.create(
        production=world.production,
        session=session,
        name="All of it",
        seconds=60,
        brought_by=world.engineer,
    )
    levels = Levels(np.full((120, 1), -20.0)).packed()
    RecordedFile.objects.create(recording=recording, sound=sound, levels=levels)
    Take.objects.create(recording=recording, starts_s=5, ends_s=50, name="slow", by=world.engineer)


def fill_causes(world: World, clip: Clip) -> None:
    """Add a cause that was taken up for the clip, and how it turned out."""
    world.rig.refresh_from_db()
    signed = sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        revision=world.rig.head_number,
        user=world.engineer,
    )
    named = NamedCause.objects.create(
        clip=clip,
        sign_off=signed,
        note=Note.objects.get(),
        kind="gain",
        words="Gain: 6 dB less",
        place=1,
        share=0.9,
        method="rank/1",
        by=world.engineer,
        by_name="Ana",
    )
    say_outcome(named, "was", "The pad was in.", by=world.engineer)


def fill_blind(world: World, trial: Trial) -> None:
    """Add a blind trial in which everybody has begun to listen."""
    first = Clip.objects.get()
    other = Clip.objects.create(
        **{
            name: getattr(first, name)
            for name in (
                "production",
                "sound",
                "rig",
                "input",
                "revision",
                "seconds",
                "working",
                "working_bytes",
                "preview",
                "preview_bytes",
                "method",
                "figures",
                "brought_by",
            )
        },
        name="The other",
        retired_at=None,
    )
    CapturePair.objects.create(
        production=world.production,
        rig=world.rig,
        first=first,
        second=other,
        method="delay/1",
        delay_s=0.001,
        polarity=1,
        source_polarity=1,
        confidence=0.9,
        alike=0.9,
        kept_by=world.engineer,
    )
    blind = open_blind(
        trial=trial,
        clip_a=first,
        clip_b=other,
        rounds=5,
        listeners=len(world.people),
        by=world.engineer,
    )
    for user in world.people.values():
        begin(blind=blind, by=user)


def picture(colour: Any = "maroon") -> Prepared:
    """A photo as it comes out of the preparation."""
    out = io.BytesIO()
    Image.new("RGB", (320, 240), colour).save(out, "JPEG")
    return prepare(out.getvalue(), max_bytes=10_000_000, max_pixels=10_000_000)


def arguments_for(world: World) -> dict[str, str]:
    """A value for every argument that an address may have."""
    arguments: dict[str, Any] = {
        "production": world.production.pk,
        "player": world.player.pk,
        "rig": world.rig.pk,
        "unit": Unit.objects.get(name="Head").pk,
        "control": world.control.pk,
        "group": Group.objects.get().pk,
        "input": world.input.pk,
        "device": world.mic.pk,
        "number": 1,
        # Tokens are not stored: an address with one can only be tried with one that opens nothing.
        "token": "no-such-token",
        "uidb64": "MQ",
        "member": world.people[Role.CREW].pk,
        # Somebody who is still in it after the walk has taken the member out.
        "person": world.people[Role.TECH].pk,
        "format": "csv",
        "copy": "preview",
        "label": "first",
        "language": "de",
        "digest": "0" * 12,
        "shortcut": "note",
        "blind": BlindTrial.objects.get().pk,
        "pair": CapturePair.objects.get().pk,
        "clip": Clip.objects.exclude(name="The other").get().pk,
        "key": "0123456789abcdef",
        "box": PatchBox.objects.get(mark="A").pk,
        "import": ListImport.objects.get().pk,
        # Each person has their own; the walk of all addresses has these of nobody.
        "log_in": "0" * 40,
        "passkey": "00000000-0000-4000-8000-000000000000",
        "kind": "rig",
        "subject": world.rig.pk,
        "rest": "rigs/",
        "image": Photo.objects.get().image_id,
    }
    models = (
        ("link", Link),
        ("photo", Photo),
        ("pin", Pin),
        ("leg", Leg),
        ("show", Show),
        ("song", Song),
        ("section", Section),
        ("session", ListeningSession),
        ("recording", Recording),
        ("take", Take),
        ("note", Note),
        ("cause", NamedCause),
        ("mix", MonitorMix),
        ("wish", MixWish),
        ("note_photo", NotePhoto),
        ("note_memo", NoteMemo),
        ("trial", Trial),
        ("alternative", Alternative),
        ("question", Question),
        ("hire", ShowHire),
        ("line", BacklineLine),
        ("step", ChangeoverStep),
        ("published", PublishedHandover),
        ("said", UnitAtShow),
        ("scene", Scene),
        ("spare", Spare),
        ("entry", UpkeepEntry),
        ("sound", StoredSound),
        ("research", Research),
        ("run", PatchRun),
        ("lent", LentLine),
        ("goods", CarnetGoods),
        ("riser", Riser),
        ("drop", MainsDrop),
        ("check", PanelCheck),
        ("other_photo", Photo),
        ("guest_link", GuestLink),
        ("guest_question", PatchQuestion),
    )
    for name, model in models:
        arguments[name] = model._default_manager.get().pk
    values = {name: str(value) for name, value in arguments.items()}
    # Pages name the argument of a record `rig_id`, the API names it `rig`.
    return values | {f"{name}_id": value for name, value in values.items()}
