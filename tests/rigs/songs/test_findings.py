"""What songs ask for among the findings of a rig."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.bench import Bench
from rigs.checks.between_songs import Piece
from rigs.checks.findings import Severity
from rigs.checks.load import benches
from rigs.checks.rules import high_pass, low_pass, slack_string, song_changes
from rigs.checks.run import findings
from rigs.revisions.record import record
from tests.rigs.checks.laying import bench, entry, missing, unit, value
from tests.rigs.songs.band import DROP_C, STANDARD, difference, guitars, make_song
from tests.support.world import World

ONE, TWO = unit("Huvel", "guitar", DROP_C), unit("Whin", "guitar", STANDARD)


def laid(*pieces: Piece, parts: Any = (ONE, TWO)) -> Bench:
    return replace(bench(*parts), songs=pieces)


def piece(title: str, gap: int | None = 20, **more: Any) -> Piece:
    return Piece(title, title, 200, gap, **more)


def test_a_change_that_takes_longer_than_the_gap() -> None:
    [found] = song_changes.check(laid(piece("A"), piece("B", instrument="Whin")))
    assert found.severity == Severity.LOOK
    assert found.title == (
        "“A” to “B”: change from “Huvel” to “Whin” takes longer than there is time"
    )
    assert (value(found, "takes"), value(found, "there is")) == (30, 20)
    assert found.parts == ("Whin", "Huvel", "A", "B")


def test_two_ways_alike_are_two_findings() -> None:
    pieces = [piece("A"), piece("B", instrument="Whin"), piece("C"), piece("D", instrument="Whin")]
    found = findings(laid(*pieces), [song_changes.RULE])
    assert len(found) == 3


def test_the_retune_names_a_spare_that_stands_in_it() -> None:
    [found] = song_changes.check(laid(piece("A"), piece("B", tunings={"Huvel": STANDARD})))
    assert (value(found, "takes"), value(found, "strings")) == (90, 6)
    assert found.mend.startswith("“Whin” is in that tuning already")


def test_a_gap_that_fits_is_silent_and_one_that_is_not_known_is_said() -> None:
    assert list(song_changes.check(laid(piece("A", 30), piece("B", instrument="Whin")))) == []
    [found] = song_changes.check(laid(piece("A", None), piece("B", instrument="Whin")))
    assert missing(found) == "the gap after “A”"
    assert list(song_changes.check(bench(ONE, TWO))) == []


def test_the_lowest_note_of_any_song_is_held_against_a_high_pass() -> None:
    # C2 is 65.41 Hz, E2 82.41 Hz (equal temperament, A4 = 440 Hz): 75 Hz lies between.
    mic = entry("Guitar mic", TWO, high_pass=75.0)
    assert list(high_pass.check(bench(mic))) == []
    pieces = (piece("A"), piece("B", tunings={"Whin": DROP_C}))
    [found] = high_pass.check(laid(*pieces, parts=(mic,)))
    assert found.title == (
        "Guitar mic: the HPF is above the lowest note, C2, in “B”, tuned to " + DROP_C
    )
    assert value(found, "lowest note, C2") == pytest.approx(65.41, abs=0.01)


def test_a_song_no_lower_than_usual_is_not_named() -> None:
    mic = entry("Guitar mic", ONE, high_pass=75.0)
    [found] = high_pass.check(laid(piece("B", tunings={"Huvel": STANDARD}), parts=(mic,)))
    assert found.title == "Guitar mic: the HPF is above the lowest note, C2"


def test_the_highest_note_of_any_song_is_held_against_a_low_pass() -> None:
    # 24 frets above D4 (MIDI 62) is D6, 1174.7 Hz; above E4 (64) E6, 1318.5 Hz.
    mic = entry("Guitar mic", ONE, low_pass=1250.0)
    assert list(low_pass.check(bench(mic))) == []
    [found] = low_pass.check(laid(piece("B", tunings={"Huvel": STANDARD}), parts=(mic,)))
    assert "E6, in “B”, tuned to" in found.title


def test_a_song_tuning_that_does_not_read_is_said() -> None:
    mic = entry("Guitar mic", ONE, high_pass=60.0)
    [found] = high_pass.check(laid(piece("B", tunings={"Huvel": "slack"}), parts=(mic,)))
    assert missing(found) == "tuning of Huvel in “B”, tuned to slack"


def test_a_string_that_is_slack_in_one_song_only() -> None:
    # Plain steel .010 in at 648 mm: E4 pulls 72.0 N by T = mu (2 L f)^2 with mu = pi d^2 rho / 4,
    # rho 7850 kg/m^3; two octaves lower a sixteenth of that, 4.5 N, far below 50 N.
    string = replace(unit("Whin", "guitar", "E4", scale_length=0.648), settings={"Strings": ".010"})
    assert list(slack_string.check(bench(string))) == []
    pieces = (piece("A", tunings={"Whin": "E2"}), piece("B", tunings={"Whin": "E2"}))
    [found] = slack_string.check(laid(*pieces, parts=(string,)))
    assert found.title == "Whin: the E2 string is slack, in “A”, “B”, tuned to E2"
    assert value(found, "tension of E2") == pytest.approx(4.5, abs=0.1)


def test_from_the_database_in_the_order_of_the_set(world: World) -> None:
    rig, (_, second) = guitars(world, DROP_C, STANDARD)
    last = make_song(world, "Last", 2)
    make_song(world, "First", 1, gap_s=10)
    gone = make_song(world, "Gone", 0, gap_s=1)
    gone.retire()
    edits = [difference(rig, last, "instrument", second)]
    record(rig, edits, author=world.tech, base=rig.head_number)
    laid_out = benches([rig])[rig.pk]
    assert [song.title for song in laid_out.songs] == ["First", "Last"]
    [found] = [f for f in findings(laid_out) if f.rule == song_changes.KEY]
    assert found.title.startswith("“First” to “Last”")
