"""Many crews for years: 300 productions, 1,000,000 changes, 200,000 notes; one of them has 50,000
changes and 10,000 notes, the others share the rest. All have the same rigs, shows and people, so
that a page of the huge one and of a small one differ by history alone.

    createdb -h 127.0.0.1 fleet
    export DATABASE_URL=postgres://root@127.0.0.1:5432/fleet
    python -m tests.bench.fleet [part of the small ones, such as 0.2 [processes, such as 2]]

The database has to be empty and stays as it is then made, for `tests.bench.fleet_pages` and the
commands of the service. At the end it says how large each table is, on PostgreSQL. Structure goes
through the gateway; changes are written as `tests/bench/histories.py` says.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID, uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
if __name__ == "__main__":
    django.setup()

from django.core.management import call_command
from django.db import connection, transaction

from core.models import Leg, Membership, Player, Production, Show, Song, User
from core.models.roles import Role
from core.proof import entries
from notes.handover.publish import publish
from notes.models import ListeningSession, Note, ReasonLink
from notes.signing.services import sign
from rigs.changes.edits import Add
from rigs.changes.reasons import NO_REASON, Reason, ReasonKind
from rigs.models import Device, Revision, Rig
from rigs.revisions.record import create
from tests.bench.bulk import keys_for, put
from tests.bench.histories import History, Step

PRODUCTIONS, CHANGES, NOTES = 300, 1_000_000, 200_000
HUGE_CHANGES, HUGE_NOTES = 50_000, 10_000
RIGS, UNITS, CONTROLS, INPUTS, DEVICES = 9, 6, 2, 4, 8
SHOWS, SONGS, SESSIONS = 10, 20, 12
HUGE, SMALL = "The Huge Quiet", "Quiet 001"
START, YEARS = datetime(2024, 1, 1, tzinfo=UTC), timedelta(days=1000)
SWAPS_EVERY = 20  # one change in so many is a microphone, for a reason
HIRE = Reason(ReasonKind.HIRE, "Ours is in repair.")
WORDS = "The low end of the second chorus is loose, and the pick is louder than the note, {n}."


class Crew(NamedTuple):
    production: Production
    people: dict[str, User]
    devices: list[Device]
    players: list[Player]
    sessions: list[ListeningSession]


class Played(NamedTuple):
    """A rig with the ids of what changes on it."""

    rig: Rig
    controls: list[str]
    inputs: list[str]


def make_crew(name: str, number: int) -> Crew:
    place = Production.objects.create(name=name)
    players = [
        Player.objects.create(production=place, name=f"Player {n}", instrument="bass", position=n)
        for n in range(RIGS)
    ]
    people = {}
    for role in Role.values:
        email = f"{role}.{number}@example.org"
        people[role] = User.objects.create_user(email, f"{role} {number}", "long-enough-1")
        player = players[0] if role == Role.PLAYER else None
        Membership.objects.create(production=place, user=people[role], role=role, player=player)
    devices = [
        Device.objects.create(production=place, name=f"Hollow {n}", form=Device.Form.MIC)
        for n in range(DEVICES)
    ]
    for n in range(SONGS):
        Song.objects.create(production=place, title=f"Song {n}", position=n)
    sessions = [
        ListeningSession.objects.create(
            production=place, name=f"Rehearsal {n}", held_on=(START + YEARS * n / SESSIONS).date()
        )
        for n in range(SESSIONS)
    ]
    return Crew(place, people, devices, players, sessions)


def make_legs(crew: Crew) -> tuple[Leg, Leg]:
    """One that is over and one to come, with shows."""
    today, legs = date.today(), []
    for name, start in (("Autumn", -40), ("Winter", 5)):
        begins = today + timedelta(days=start)
        ends = begins + timedelta(days=2 * SHOWS)
        legs.append(
            Leg.objects.create(
                production=crew.production, name=name, starts_on=begins, ends_on=ends
            )
        )
        for n in range(SHOWS):
            held = begins + timedelta(days=2 * n)
            Show.objects.create(leg=legs[-1], held_on=held, room=f"Room {n}")
    return legs[0], legs[1]


def make_rig(crew: Crew, player: Player) -> Played:
    rig = Rig(production=crew.production, player=player, name="Main", sound="Warm, no clank.")
    units = [str(uuid4()) for _ in range(UNITS)]
    controls, inputs = [], []
    parts = [
        Add(unit, "unit", {"name": f"Unit {n}", "gear": "pedal" if n else "bass"})
        for n, unit in enumerate(units)
    ]
    for unit in units:
        for n in range(CONTROLS):
            controls.append(str(uuid4()))
            parts.append(
                Add(controls[-1], "control", {"unit": unit, "name": f"Dial {n}", "setting": "2:30"})
            )
    for n in range(INPUTS):
        inputs.append(str(uuid4()))
        told = {"number": player.position * INPUTS + n + 1, "name": f"Line {n}", "unit": units[-1]}
        parts.append(Add(inputs[-1], "input", told | {"device": str(crew.devices[n].pk)}))
    create(rig, author=crew.people[Role.TECH], parts=tuple(parts))
    return Played(rig, controls, inputs)


class Heard(NamedTuple):
    """A note that is written down with the others."""

    key: UUID
    rig: Played
    at: datetime
    number: int  # how many before it


def notes_of(rigs: list[Played], count: int) -> list[Heard]:
    each = YEARS / max(count, 1)
    return [Heard(uuid4(), rigs[n % len(rigs)], START + each * n, n) for n in range(count)]


def write_notes(crew: Crew, notes: list[Heard]) -> None:
    """Half are to stay as it is; of the others some led to changes, few are open."""
    columns = [f.attname for f in Note._meta.concrete_fields]
    rows, about = [], []
    for each in notes:
        note = Note(
            pk=each.key,
            production=crew.production,
            rig=each.rig.rig,
            session=crew.sessions[each.number * SESSIONS // len(notes)],
            heard_at=1,
            words=WORDS.format(n=each.number),
            said_by_player=each.rig.rig.player,
            verdict=("keep", "adjust", "keep", "reject")[each.number % 4],
            written_by=crew.people[Role.ENGINEER],
            written_at=each.at,
        )
        # Put to rest, as nearly all of what is years old.
        if each.number % 4 == 3 and each.number % 40 != 3:
            note.settled_words, note.settled_by = "It was the room.", crew.people[Role.ENGINEER]
            note.settled_at = each.at + timedelta(days=1)
        rows.append(tuple(getattr(note, name) for name in columns))
        about.append((each.key, UUID(each.rig.inputs[each.number % INPUTS])))
    put(Note, columns, rows)
    put(Note.inputs.through, ["note_id", "input_id"], about)
    entries.note(Note, [each.key for each in notes])
    through = Note.inputs.through.objects.filter(note__production=crew.production)
    entries.note(Note.inputs.through, list(through.values_list("pk", flat=True)))


def steps(crew: Crew, played: Played, count: int, notes: list[Heard]) -> Iterator[Step]:
    """Turned dials, and now and then another microphone: hired, or because of a note."""
    asked = iter([each for each in notes if each.number % 4 == 1])
    for n in range(count):
        if n % SWAPS_EVERY:
            setting = f"{n // 12 % 10 + 1}:{n % 60:02d}"
            yield Step(played.controls[n % len(played.controls)], "control", "setting", setting)
            continue
        entry, round_ = n // SWAPS_EVERY % INPUTS, n // SWAPS_EVERY // INPUTS
        mic = str(crew.devices[(entry + round_ + 1) % DEVICES].pk)
        note = next(asked, None) if n % (2 * SWAPS_EVERY) else None
        reason = Reason(ReasonKind.NOTES, "", (note.key,)) if note else HIRE
        yield Step(played.inputs[entry], "input", "device", mic, reason)


def link_reasons(crew: Crew) -> None:
    """Each change that was made because of a note points at it."""
    revisions = Revision.objects.filter(rig__production=crew.production, reason_kind="notes")
    made = [(pk, UUID(n[2:-2])) for pk, n in revisions.values_list("pk", "reason_notes")]
    keys = keys_for(ReasonLink, len(made)) if made else ()
    put(
        ReasonLink,
        ["id", "revision_id", "note_id"],
        [(k, *m) for k, m in zip(keys, made, strict=True)],
    )
    entries.note(ReasonLink, list(keys))


@transaction.atomic
def fill(name: str, number: int, changes: int, notes: int) -> None:
    """A production whose rigs were signed, and whose handover was published, before the last tenth
    of the changes."""
    crew = make_crew(name, number)
    over, _ = make_legs(crew)
    rigs = [make_rig(crew, player) for player in crew.players]
    heard = notes_of(rigs, notes)
    write_notes(crew, heard)
    each = changes // RIGS - 1
    todo: list[tuple[History, Iterator[Step]]] = []
    for played in rigs:
        own = [note for note in heard if note.rig is played]
        history = History(played.rig, crew.people[Role.TECH], NO_REASON)
        todo.append((history, steps(crew, played, each, own)))
    apart = YEARS / max(each, 1)
    for history, them in todo:
        history.grow((next(them) for _ in range(each * 9 // 10)), START, apart)
        sign_as_tech(history.rig, crew)
    link_reasons(crew)
    publish(leg=over, by=crew.people[Role.ENGINEER])
    for history, them in todo:
        history.rig.refresh_from_db()
        history.grow(them, START + YEARS * 9 / 10, apart)


def sign_as_tech(rig: Rig, crew: Crew) -> None:
    said: dict[str, Any] = {"party": "engineer", "decision": "signed"}
    sign(rig=rig, revision=rig.head_number, user=crew.people[Role.ENGINEER], **said)


def fill_small(numbers: range) -> None:
    """Those of the small productions, which share what the huge one leaves."""
    changes = round((CHANGES - HUGE_CHANGES) / (PRODUCTIONS - 1))
    notes = round((NOTES - HUGE_NOTES) / (PRODUCTIONS - 1))
    began = time.monotonic()
    for done, number in enumerate(numbers, 1):
        fill(f"Quiet {number:03}", number, changes, notes)
        if done % 10 == 0:
            print(f"{done} of {len(numbers)}, {time.monotonic() - began:.0f} s", flush=True)


def print_sizes() -> None:
    """Bytes of each large table with its indexes, by row."""
    print("| table | rows | MB | bytes a row |")
    print("|---|--:|--:|--:|")
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname, n_live_tup, pg_total_relation_size(relid) FROM pg_stat_user_tables "
            "WHERE pg_total_relation_size(relid) > 1000000 ORDER BY 3 DESC"
        )
        for name, rows, size in cursor.fetchall():
            print(f"| {name} | {rows} | {size / 1e6:.0f} | {size / max(rows, 1):.0f} |")
        cursor.execute("SELECT pg_database_size(current_database())")
        print(f"{cursor.fetchone()[0] / 1e6:.0f} MB in all")


def main(part: float = 1.0, processes: float = 1) -> None:
    call_command("migrate", verbosity=0)
    assert not Production.objects.exists(), "The database is not empty."
    began, others = time.monotonic(), max(round((PRODUCTIONS - 1) * part), 1)
    at_once = int(processes)
    fill(HUGE, 0, HUGE_CHANGES, HUGE_NOTES)
    connection.close()  # each process opens its own
    with multiprocessing.get_context("fork").Pool(at_once) as pool:
        pool.map(fill_small, [range(n, others + 1, at_once) for n in range(1, at_once + 1)], 1)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE" if connection.vendor == "postgresql" else "ANALYZE")
    print(
        f"{Production.objects.count()} productions, {Revision.objects.count()} changes, "
        f"{Note.objects.count()} notes in {time.monotonic() - began:.0f} s"
    )
    if connection.vendor == "postgresql":
        print_sizes()


if __name__ == "__main__":
    main(*(float(each) for each in sys.argv[1:3]))
