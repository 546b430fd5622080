"""Rules of pairs where a microphone picks up several units."""

from __future__ import annotations

from typing import Any

from rigs.checks.alignment import di_and_mic_pairs, face_pairs, mic_pairs
from rigs.checks.rules import dangling_end, three_to_one
from tests.rigs.checks.laying import DI, bench, cable, entry, found, unit

KICK, SNARE = unit("Kick", "drum"), unit("Snare", "drum")
KIT: dict[str, Any] = {"also": (KICK, SNARE), "reference": "snare centre"}


def laid(*entries: Any) -> Any:
    return bench(KICK, SNARE, *entries)


def test_a_close_microphone_and_an_overhead_are_no_pair_of_one_source() -> None:
    close = entry("Snare top", SNARE, reference="rim", distance=0.05)
    over, room = entry("Overhead", **KIT, distance=1.0), entry("Room", **KIT, distance=4.0)
    pairs = [(a.name, b.name) for a, b in mic_pairs(laid(close, over, room))]
    assert pairs == [("Overhead", "Room")]


def test_front_and_rear_of_a_whole_kit_are_no_two_faces() -> None:
    front, rear = entry("Room front", **KIT), entry("Room rear", **KIT)
    assert list(face_pairs(laid(front, rear))) == []
    assert len(list(face_pairs(laid(entry("Kick front", KICK), entry("Kick rear", KICK))))) == 1


def test_a_di_is_lined_up_with_what_hears_its_source_alone() -> None:
    di, close = entry("DI", KICK, DI), entry("Mic", KICK)
    found_pairs = di_and_mic_pairs(laid(di, close, entry("Room", **KIT)))
    assert [(a.name, b.name) for a, b in found_pairs] == [("DI", "Mic")]


def test_three_to_one_is_asked_of_different_sources_only() -> None:
    near: dict[str, Any] = {"plan": (0.0, 0.0), "distance": 0.5}
    tom = unit("Tom", "drum")
    over = entry("Overhead", **KIT, **near)
    spill = entry("Tom mic", tom, reference="Tom rim", distance=0.5, plan=(0.3, 0.0))
    own = entry("Snare top", SNARE, reference="Snare rim", distance=0.5, plan=(0.3, 0.0))
    assert len(found(three_to_one.check, KICK, SNARE, tom, over, spill)) == 1
    assert found(three_to_one.check, KICK, SNARE, over, own) == []


def test_whatever_is_in_a_group_is_picked_up() -> None:
    head, cabinet = unit("Head", "valve_head"), unit("Rack", "rack_effect")
    parts = (unit("Guitar", "guitar"), head, cabinet, cable("Guitar", "Head"))
    submix = entry("Submix", None, DI, also=(head,))
    titles = [finding.title for finding in found(dangling_end.check, *parts, submix)]
    assert not any(title.startswith(("Head:", "Guitar:")) for title in titles)
    without = [finding.title for finding in found(dangling_end.check, *parts)]
    assert any(title.startswith("Head:") for title in without)
