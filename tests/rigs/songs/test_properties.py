"""Whatever is typed on the pages of songs stands there afterwards, and what is sent as it is shown
writes nothing."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.models import Song
from rigs.editing.submit import attempt
from rigs.models import Rig, SongSetting
from rigs.revisions.read import as_of, live
from rigs.revisions.record import restore
from rigs.revisions.verify import verify_rig
from rigs.songs.settings_form import SongSettingsForm
from tests.rigs.songs.band import DROP_C, STANDARD, guitars, make_song
from tests.support.posting import as_posted
from tests.support.world import World, make_world

pytestmark = pytest.mark.django_db
TUNINGS = ["", DROP_C, "D2 A2 D3 G3 B3 E4"]
WORDS = ["", "drive pedal on", "off again"]
# Which song, what is typed for the second guitar, its tuning and the first cue; how far behind.
TYPED = st.tuples(
    st.integers(0, 2),
    st.booleans(),
    st.sampled_from(TUNINGS),
    st.sampled_from(WORDS),
    st.none() | st.integers(0, 300),
    st.integers(0, 2),
)


def stand(rig: Rig, song: Song) -> dict[str, Any]:
    """What the song says, as it is kept."""
    rows = SongSetting.objects.live().filter(rig=rig, song=song)
    return {row.what: (row.value or str(row.unit), row.at_s) for row in rows}


def form_of(rig: Rig, song: Song, typed: dict[str, Any]) -> SongSettingsForm:
    return SongSettingsForm(rig, song, as_posted(SongSettingsForm(rig, song), typed))


def write(
    world: World, rig: Rig, song: Song, second: Any, typed: tuple[Any, ...]
) -> dict[str, Any]:
    """Type into the page of a song; what must stand there then."""
    _, other, tuning, words, at, _ = typed
    shown = SongSettingsForm(rig, song)
    cue = next(name for name in shown.fields if name.startswith("q-"))
    values = {
        "instrument": str(second) if other else "",
        f"t-{second}": tuning,
        cue: words,
        f"{cue}-at": "" if at is None or not words else f"{at} s",
    }
    outcome = attempt(form_of(rig, song, values), author=world.tech)
    assert outcome.done, outcome.form.errors
    expected: dict[str, Any] = {"instrument": ("Guitar 2", None)} if other else {}
    if tuning:
        expected["tuning"] = (tuning, None)
    if words:
        expected["cue"] = (words, at)
    return expected


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(steps=st.lists(TYPED, min_size=1, max_size=6))
def test_what_is_typed_stands_there_and_other_songs_stay(steps: list[tuple[Any, ...]]) -> None:
    with transaction.atomic():
        world = make_world()
        songs = [make_song(world, f"Song {n}", n) for n in range(3)]
        rig, (_, second) = guitars(world, DROP_C, STANDARD)
        model: dict[int, dict[str, Any]] = {n: {} for n in range(3)}
        for typed in steps:
            number = typed[0]
            model[number] = write(world, rig, songs[number], second, typed)
            assert {n: stand(rig, song) for n, song in enumerate(songs)} == model
            before = rig.head_number
            assert attempt(form_of(rig, songs[number], {}), author=world.tech).revision is None
            rig.refresh_from_db()
            assert rig.head_number == before
        assert live(rig) == as_of(rig, rig.head_number)
        verify_rig(rig)
        for number in range(1, rig.head_number + 1):
            wanted = as_of(rig, number)
            restore(rig, number, author=world.tech)
            rig.refresh_from_db()
            assert live(rig) == wanted
        transaction.set_rollback(True)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(steps=st.lists(TYPED, min_size=2, max_size=6))
def test_on_older_pages_everything_is_taken_or_shown(steps: list[tuple[Any, ...]]) -> None:
    """Each page was opened up to two changes ago. What is not written comes back as typed."""
    with transaction.atomic():
        world = make_world()
        songs = [make_song(world, f"Song {n}", n) for n in range(3)]
        rig, (_, second) = guitars(world, DROP_C, STANDARD)
        opened = {n: [SongSettingsForm(rig, song)] for n, song in enumerate(songs)}
        for number, other, tuning, _, _, behind in steps:
            page = opened[number][max(0, len(opened[number]) - 1 - behind)]
            typed = {"instrument": str(second) if other else "", f"t-{second}": tuning}
            sent = as_posted(page, typed)
            rig = Rig.objects.get(pk=rig.pk)
            outcome = attempt(SongSettingsForm(rig, songs[number], sent), author=world.tech)
            if outcome.done:
                rig = Rig.objects.get(pk=rig.pk)
                changed = [n for n in typed if str(page.initial.get(n, "")) != typed[n]]
                said = stand(rig, songs[number])
                if f"t-{second}" in changed:
                    assert said.get("tuning", ("", None))[0] == tuning
                if "instrument" in changed:
                    assert ("instrument" in said) is other
            else:
                assert outcome.status == 409
                kept = {n: outcome.form.retains_typed[n] for n in outcome.form.asked}
                assert kept
                assert kept == {n: typed[n] for n in kept}
            for n, song in enumerate(songs):
                opened[n].append(SongSettingsForm(Rig.objects.get(pk=rig.pk), song))
        verify_rig(Rig.objects.get(pk=rig.pk))
        transaction.set_rollback(True)


def test_a_conflict_is_told_for_the_two_guitars(world: World) -> None:
    song = make_song(world, "Song", 1)
    rig, (_, second) = guitars(world, DROP_C, STANDARD)
    page = SongSettingsForm(rig, song)
    mine, theirs = ({f"t-{second}": tuning} for tuning in TUNINGS[1:])
    assert attempt(form_of(rig, song, theirs), author=world.tech).done
    outcome = attempt(
        SongSettingsForm(Rig.objects.get(pk=rig.pk), song, as_posted(page, mine)),
        author=world.engineer,
    )
    assert outcome.status == 409
    [panel] = outcome.form.panels
    assert (panel.label, panel.typed, panel.now) == ("Tuning of Guitar 2", DROP_C, TUNINGS[2])
