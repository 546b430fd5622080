"""Signing: what is bound, kept, refused; and that the record cannot be altered."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction

from core.models import Player
from notes.models import SignOff
from notes.signing.services import MovedOn, sign
from rigs.models import KeyFrame
from tests.support.world import World


def _sign(world: World, **more: object) -> SignOff:
    values = {"party": "tech", "decision": "signed", "revision": 1, "user": world.tech}
    return sign(rig=world.rig, **(values | more))  # type: ignore[arg-type]


def test_a_signature_is_bound_to_the_exact_revision(world: World) -> None:
    made = _sign(world, words="  Strings of yesterday. ")
    made.refresh_from_db()
    assert made.revision.number == 1
    assert made.revision_digest == world.rig.head_digest
    assert (made.words, made.name, made.user) == (
        "Strings of yesterday.",
        world.tech.name,
        world.tech,
    )
    assert made.player is None


def test_the_whole_state_is_kept_at_what_was_signed(world: World) -> None:
    world.turn("3:00")
    assert not KeyFrame.objects.filter(number=2).exists()
    _sign(world, revision=2)
    assert KeyFrame.objects.filter(rig=world.rig, number=2).count() == 1


def test_an_older_state_cannot_be_signed(world: World) -> None:
    world.turn("3:00")
    with pytest.raises(MovedOn, match="^Someone changed it since you opened this page.$") as moved:
        _sign(world, revision=1)
    assert (moved.value.shown, moved.value.rig.head_number) == (1, 2)
    assert not SignOff.objects.exists()


def test_a_state_that_never_was_cannot_be_signed(world: World) -> None:
    with pytest.raises(MovedOn):
        _sign(world, revision=7)


def test_withholding_needs_words(world: World) -> None:
    with pytest.raises(ValidationError) as refused:
        _sign(world, decision="withheld", words="   ")
    assert refused.value.message_dict == {
        "words": ["Say what is missing, so that somebody can do it."]
    }


def test_withheld_with_words_is_on_record(world: World) -> None:
    made = _sign(world, decision="withheld", words="Hum in the left cabinet.")
    assert SignOff.objects.get() == made
    assert (made.decision, made.words) == ("withheld", "Hum in the left cabinet.")


@pytest.mark.parametrize("words", ["x" * 2001, "a\x00b"])
def test_words_that_do_not_fit_are_refused_at_their_field(world: World, words: str) -> None:
    with pytest.raises(ValidationError) as refused:
        _sign(world, words=words)
    assert list(refused.value.message_dict) == ["words"]


def test_neither_signed_nor_withheld_is_refused(world: World) -> None:
    with pytest.raises(ValidationError) as refused:
        _sign(world, decision="maybe")
    assert list(refused.value.message_dict) == ["decision"]


@pytest.mark.parametrize(
    ("role", "party"),
    [("engineer", "tech"), ("tech", "player"), ("crew", "tech"), ("manager", "engineer")],
)
def test_nobody_signs_as_another_party(world: World, role: str, party: str) -> None:
    with pytest.raises(PermissionDenied):
        _sign(world, party=party, user=world.people[role])


def test_an_outsider_signs_nothing(world: World) -> None:
    with pytest.raises(PermissionDenied):
        _sign(world, user=world.outsider)


def test_a_player_with_an_account_signs_their_own_rig(world: World) -> None:
    made = _sign(world, party="player", user=world.people["player"])
    assert (made.player, made.user) == (world.player, world.people["player"])


def test_a_player_does_not_sign_another_players_rig(world: World) -> None:
    other = Player.objects.create(production=world.production, name="Oda Quill", instrument="horn")
    world.people["player"].memberships.update(player=other)
    with pytest.raises(PermissionDenied):
        _sign(world, party="player", user=world.people["player"])
    with pytest.raises(PermissionDenied, match="Oda Quill signs their own rigs only"):
        _sign(world, party="player", user=None, player=other)


def test_without_an_account_only_the_player_signs(world: World) -> None:
    made = _sign(world, party="player", user=None, player=world.player)
    assert (made.name, made.user, made.player) == ("Ines Halloran", None, world.player)
    with pytest.raises(PermissionDenied, match="Only a musician"):
        _sign(world, party="tech", user=None, player=world.player)


def test_a_button_pressed_twice_signs_once(world: World) -> None:
    assert _sign(world) == _sign(world)
    assert SignOff.objects.count() == 1


def test_a_retired_rig_is_not_signed(world: World) -> None:
    from rigs.changes.edits import Set

    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    with pytest.raises(ValidationError, match="This rig is retired"):
        _sign(world, revision=2)


def test_the_database_refuses_to_alter_or_delete_a_signature(world: World) -> None:
    made = _sign(world)
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        SignOff.objects.filter(pk=made.pk).update(words="I never said that.")
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        made.delete()
    assert SignOff.objects.get().words == ""
