"""The seal: over everything a sign-off says, and checked against an independent encoder."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest

from core.append_only import ensure_triggers, trigger_names
from notes.models import SignOff
from notes.signing.seal import content_of, seal_of
from notes.signing.services import sign
from notes.signing.verify import broken_sign_offs
from rigs.models import Rig
from rigs.revisions.record import create
from tests.support.world import World


@pytest.fixture
def made(world: World) -> SignOff:
    return sign(
        rig=world.rig,
        party="player",
        decision="signed",
        words="Woody. Größer fühlt’s sich nicht an.",
        player=world.player,
        revision=1,
    )


def test_the_seal_is_the_sha256_of_the_content_in_canonical_json(made: SignOff) -> None:
    # For objects of plain strings and small integers RFC 8785 is Python's own JSON with sorted
    # keys, no blanks and no escapes beyond the needed ones (RFC 8785, sections 3.2.1 to 3.2.3).
    text = json.dumps(content_of(made), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert made.seal == hashlib.sha256(text.encode()).hexdigest()


def test_the_seal_holds_after_a_round_trip_through_the_database(made: SignOff) -> None:
    assert seal_of(SignOff.objects.get()) == made.seal
    assert list(broken_sign_offs()) == []


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("words", "No."),
        ("decision", "withheld"),
        ("party", "tech"),
        ("name", "Somebody"),
        ("revision_digest", "f" * 64),
        ("player_id", None),
        ("user_id", UUID(int=1)),
        ("rig_id", UUID(int=1)),
        ("pk", UUID(int=1)),
        ("at", datetime(2026, 1, 1, tzinfo=UTC)),
    ],
)
def test_every_alteration_breaks_the_seal(made: SignOff, name: str, value: Any) -> None:
    setattr(made, name, value)
    assert seal_of(made) != made.seal


def test_the_seal_covers_the_number_of_the_change(made: SignOff) -> None:
    made.revision.number += 1
    assert seal_of(made) != made.seal


def _alter(**values: Any) -> None:
    """As somebody would who has the database to themselves: past the triggers."""
    from django.db import connection

    with connection.cursor() as cursor:
        for name in trigger_names(SignOff._meta.db_table):
            place = f' ON "{SignOff._meta.db_table}"' if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER {name}{place}")
    SignOff.objects.update(**values)
    ensure_triggers(connection)


def test_verify_names_an_altered_signature(made: SignOff) -> None:
    _alter(words="Anything goes.")
    assert list(broken_sign_offs()) == [
        f"The Long Quiet · Bass main: the sign-off {made.pk} by Ines Halloran is not what was "
        "written: its seal does not match its content."
    ]


def test_verify_names_a_signature_that_was_resealed_under_another_state(made: SignOff) -> None:
    made.revision_digest = "f" * 64
    _alter(revision_digest=made.revision_digest, seal=seal_of(made))
    (broken,) = broken_sign_offs()
    assert broken.endswith("accepted another change 1 than the one on file.")


def test_verify_names_a_signature_that_was_resealed_for_another_rig(
    made: SignOff, world: World
) -> None:
    other = Rig(player=world.player, production=world.production, name="Bass fly")
    made.rig = create(other, author=world.tech).rig
    _alter(rig=made.rig, seal=seal_of(made))
    (broken,) = broken_sign_offs()
    assert broken.endswith("speaks of a change of another rig.")
