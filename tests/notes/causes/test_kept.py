"""The scatter of a signed sound is kept with the signature: once, sealed, as it was measured."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, transaction

from core import clock
from notes.causes import signed as signed_sounds
from notes.causes.kept import as_measured, broken_scatters
from notes.causes.signed import against_signed
from notes.models import Clip, SignedScatter
from notes.signing.services import sign
from tests.notes.causes.nights import guitar, signed_clip, thin_night
from tests.support.clips_side_by_side import clip_of
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def test_it_is_measured_once_and_every_later_night_is_judged_by_it(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, sign_off = signed_clip(world, takes=2)
    first = against_signed(thin_night(world, 5))
    row = SignedScatter.objects.get()
    assert (row.sign_off, len(row.takes), row.pieces) == (sign_off, 3, False)
    assert first.kept == row

    def measured_again(*_: Any) -> None:
        raise AssertionError("It is on record.")

    monkeypatch.setattr(signed_sounds, "_measured", measured_again)
    # A take that is put away later takes nothing back.
    Clip.objects.filter(name="Take 0").update(retired_at=clock.now())
    second = against_signed(thin_night(world, 6, "The night after"))
    assert second.kept == row
    sound, spread = as_measured(SignedScatter.objects.get())
    for one, other in ((first.ranking.scatter, spread), (second.ranking.scatter, spread)):
        assert np.array_equal(one.bands, other.bands)
        assert np.array_equal(one.extras, other.extras)
        assert (one.level, one.takes, one.pieces) == (other.level, 3, False)
    assert sound.levels.shape == spread.bands.shape


def test_what_is_not_finite_comes_back_as_it_was(world: World) -> None:
    signed_clip(world, takes=2)
    against_signed(thin_night(world, 5))
    row = SignedScatter.objects.get()
    sound, _ = as_measured(row)
    row.figures["sound"]["errors"][0] = "inf"
    assert np.isinf(as_measured(row)[0].errors[0])
    assert np.isfinite(sound.seconds)


def test_with_one_clip_pieces_of_it_are_kept_until_there_are_takes(world: World) -> None:
    # Longer than three pieces of 2 s: one take after the other.
    long = np.concatenate([guitar(seed, 5) for seed in (1, 2)])
    signed = clip_of(world, long, "Signed, long")
    world.rig.refresh_from_db()
    sign_off = sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        revision=world.rig.head_number,
        user=world.engineer,
        clip=signed,
    )
    tonight = thin_night(world, 5)
    against_signed(tonight)
    row = SignedScatter.objects.get()
    assert (row.takes, row.pieces) == ([signed.working], True)
    for seed in (20, 21):
        # Recorded before the signature, though they came later.
        clip_of(world, guitar(seed), f"Found {seed}", recorded_at=sign_off.at)
    against_signed(tonight)
    assert SignedScatter.objects.count() == 2
    assert len(SignedScatter.objects.latest("measured_at").takes) == 3


def test_a_take_is_not_judged_by_a_scatter_that_it_is_in(world: World) -> None:
    signed_clip(world, takes=3)
    take = Clip.objects.get(name="Take 1")
    against_signed(thin_night(world, 5))
    assert against_signed(take).kept is None
    assert SignedScatter.objects.count() == 1


def test_it_never_changes_and_verify_names_what_was_tampered_with(world: World) -> None:
    signed_clip(world, takes=2)
    against_signed(thin_night(world, 5))
    row = SignedScatter.objects.get()
    with pytest.raises(DatabaseError), transaction.atomic():
        SignedScatter.objects.update(method="another")
    assert list(broken_scatters()) == []
    out = io.StringIO()
    call_command("verify", stdout=out)
    row.pk, row.figures = None, {**row.figures, "scatter": {}}
    row.id = "00000000-0000-4000-8000-000000000001"
    row.save(force_insert=True)
    with pytest.raises(CommandError, match="its seal does not match"):
        call_command("verify", stdout=out)
