"""Set the stage: people, tour, songs, devices and the documented rigs."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from core.durations import parse_duration
from core.models import Leg, Player, Production, RehearsalRoom, Section, Show, Song, User
from core.models.roles import Role
from core.services.members import add_roles
from core.services.productions import create_production
from core.units import parse_length
from notes.demo import cast, story
from notes.demo.carried import with_carried
from notes.demo.gear import DEVICES, DeviceSpec
from notes.demo.rigs_guitars import GUITARS
from notes.demo.rigs_others import OTHERS
from notes.demo.rigs_rhythm import RHYTHM
from notes.demo.spec import Ids, R, parts_of
from notes.models import Clip, Note
from rigs.models import Device, Revision, Rig
from rigs.revisions.record import create


@dataclass
class DemoStage:
    """The records of the demonstration, by the names that the events of the story use."""

    production: Production
    people: dict[str, User] = field(default_factory=dict)
    players: dict[str, Player] = field(default_factory=dict)
    legs: dict[str, Leg] = field(default_factory=dict)
    shows: dict[str, Show] = field(default_factory=dict)
    songs: dict[str, Song] = field(default_factory=dict)
    devices: dict[str, Device] = field(default_factory=dict)
    rigs: dict[str, Rig] = field(default_factory=dict)
    ids: dict[str, Ids] = field(default_factory=dict)
    notes: dict[str, Note] = field(default_factory=dict)
    changes: dict[str, Revision] = field(default_factory=dict)
    clips: dict[str, Clip] = field(default_factory=dict)


def set_stage() -> DemoStage:
    people = {person.email: _user(person) for person in cast.PEOPLE}
    production = create_production(
        name=cast.PRODUCTION, about=cast.ABOUT, by=people[cast.MANAGER], roles=[Role.MANAGER]
    )
    stage = DemoStage(production, people)
    _players(stage)
    _tour(stage)
    _songs(stage)
    stage.devices = {spec.name: _device(production, spec) for spec in DEVICES}
    for rig in (*RHYTHM, *GUITARS, *OTHERS):
        _rig(stage, rig)
    return stage


def _user(person: cast.CastMember) -> User:
    user = User.objects.filter(email=person.email).first()
    return user or User.objects.create_user(person.email, person.name, cast.PASSWORD)


def _players(stage: DemoStage) -> None:
    for position, (name, instrument) in enumerate((*cast.PLAYERS, *cast.GUESTS)):
        stage.players[name] = Player.objects.create(
            production=stage.production,
            name=name,
            instrument=instrument,
            position=position,
            guest=(name, instrument) in cast.GUESTS,
        )
    for person in cast.PEOPLE:
        add_roles(
            production=stage.production,
            user=stage.people[person.email],
            roles=person.roles,
            player=stage.players.get(person.player),
        )


def _tour(stage: DemoStage) -> None:
    _rehearsal_room(stage)
    for name, starts, ends, notes, shows in cast.LEGS:
        leg = Leg.objects.create(
            production=stage.production, name=name, starts_on=starts, ends_on=ends, notes=notes
        )
        stage.legs[name] = leg
        for spec in shows:
            stage.shows[spec.room] = _show(leg, spec)


def _rehearsal_room(stage: DemoStage) -> None:
    name, celsius, humidity, distance = cast.REHEARSAL_ROOM
    length = parse_length(distance)
    RehearsalRoom.objects.create(
        production=stage.production,
        name=name,
        temperature_c=_decimal(celsius),
        humidity_pct=_decimal(humidity),
        listening_distance_m=length.metres,
        listening_distance_unit=length.unit,
    )


def _show(leg: Leg, spec: cast.ShowSpec) -> Show:
    length = parse_length(spec.distance) if spec.distance else None
    return Show.objects.create(
        leg=leg,
        held_on=spec.day,
        room=spec.room,
        town=spec.town,
        temperature_c=_decimal(spec.celsius),
        humidity_pct=_decimal(spec.humidity),
        mix_distance_m=length.metres if length else None,
        mix_distance_unit=length.unit if length else "m",
        mains_volts=spec.mains[0] if spec.mains else None,
        mains_hz=spec.mains[1] if spec.mains else None,
    )


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _songs(stage: DemoStage) -> None:
    for position, (title, tempo, reference, sections) in enumerate(cast.SONGS):
        length, gap = cast.SONG_TIMES[title]
        song = Song.objects.create(
            production=stage.production,
            title=title,
            position=position,
            tempo_bpm=_decimal(tempo),
            reference=reference,
            length_s=parse_duration(length) if length else None,
            gap_s=parse_duration(gap) if gap else None,
        )
        stage.songs[title] = song
        for number, name in enumerate(sections.split()):
            Section.objects.create(song=song, name=name, position=number)


def _device(production: Production, spec: DeviceSpec) -> Device:
    device = Device(
        production=production,
        name=spec.name,
        maker=spec.maker,
        form=spec.form,
        principle=spec.principle,
        pattern=spec.pattern,
        phantom=spec.phantom,
        sensitivity_mv_pa=_decimal(spec.mv_pa),
        max_spl_db=_decimal(spec.max_spl),
        self_noise_db=_decimal(spec.noise),
        impedance_ohm=_decimal(spec.ohm),
        owned=spec.owned,
        serials=spec.serials,
        packed_in=spec.case,
        weight_kg=_decimal(spec.kg),
        country_of_origin=spec.country,
        worth=_decimal(spec.worth),
        currency="EUR" if spec.worth else "",
    )
    # create() would skip the checks, and the demonstration must not hold what no form takes.
    device.full_clean()
    device.save()
    return device


def _rig(stage: DemoStage, spec: R) -> None:
    ids = Ids(str(stage.production.pk), spec)
    rig = Rig(
        production=stage.production,
        player=stage.players[spec.player],
        name=spec.name,
        variant=spec.variant,
        sound=spec.sound,
        notes=spec.notes,
    )
    devices = {name: str(device.pk) for name, device in stage.devices.items()}
    tech = cast.DRUM_TECH if spec.player in (story.MAUD, story.HESTIA) else cast.TECH
    players = {name: str(player.pk) for name, player in stage.players.items()}
    create(
        rig, author=stage.people[tech], parts=parts_of(with_carried(spec), ids, devices, players)
    )
    stage.rigs[spec.name], stage.ids[spec.name] = rig, ids
