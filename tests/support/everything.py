"""One of everything in a production, so that every address leads somewhere."""

from __future__ import annotations

import io
from datetime import date
from typing import Any
from uuid import uuid4

from PIL import Image

from core.links import make_link
from core.models import Leg, OneTimeLink, Research, Section, Show, Song
from core.models.roles import Role
from notes.blind.services import begin, open_blind
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
    Note,
    NoteMemo,
    NotePhoto,
    PublishedHandover,
    Question,
    StoredSound,
    Trial,
)
from notes.photos.services import add_photos as attach
from rigs.changes.edits import Add
from rigs.list_import.services import import_list
from rigs.models import Link, ListImport, Photo, Pin, ShowHire, Spare, Unit, UpkeepEntry
from rigs.photos.prepare import Prepared, prepare
from rigs.photos.services import add_photos
from rigs.shows.services import differ
from rigs.upkeep.services import note_done
from tests.support.sounds import bring_clip
from tests.support.world import World


def fill(world: World) -> None:
    """Add to the small production what it lacks."""
    production, engineer = world.production, world.engineer
    cabinet, cable, spare = (str(uuid4()) for _ in range(3))
    world.record(
        Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet"}),
        Add(cable, "link", {"source": str(world.unit.pk), "target": cabinet}),
        Add(spare, "spare", {"unit": str(world.unit.pk), "sort": "fuse", "what": "T 1 A 250 V"}),
    )
    note_done(spare=Spare.objects.get(pk=spare), by=engineer)
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
    ShowHire.objects.create(show=show, section="devices", what="Corvane Eskvane 4", by=engineer)
    song = Song.objects.create(production=production, title="Song")
    Section.objects.create(song=song, name="Verse")
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
    ListeningSession.objects.create(
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
    fill_blind(world, trial)
    make_link(
        production=production,
        purpose=OneTimeLink.Purpose.INVITATION,
        details={"roles": ["crew"]},
        made_by=engineer,
        days=7,
    )


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
        "input": world.input.pk,
        "device": world.mic.pk,
        "number": 1,
        # Tokens are not stored: an address with one can only be tried with one that opens nothing.
        "token": "no-such-token",
        "uidb64": "MQ",
        "member": world.people[Role.CREW].pk,
        "format": "csv",
        "copy": "preview",
        "label": "first",
        "blind": BlindTrial.objects.get().pk,
        "pair": CapturePair.objects.get().pk,
        "clip": Clip.objects.exclude(name="The other").get().pk,
        "key": "0123456789abcdef",
        "import": ListImport.objects.get().pk,
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
        ("note", Note),
        ("note_photo", NotePhoto),
        ("note_memo", NoteMemo),
        ("trial", Trial),
        ("alternative", Alternative),
        ("question", Question),
        ("hire", ShowHire),
        ("published", PublishedHandover),
        ("spare", Spare),
        ("entry", UpkeepEntry),
        ("sound", StoredSound),
        ("research", Research),
    )
    for name, model in models:
        arguments[name] = model._default_manager.get().pk
    values = {name: str(value) for name, value in arguments.items()}
    # Pages name the argument of a record `rig_id`, the API names it `rig`.
    return values | {f"{name}_id": value for name, value in values.items()}
