"""Turns read from two photos of a drawn panel. How well in general: tests/bench/knobs."""

from __future__ import annotations

import pytest

from core.uploads import apart
from rigs.knob_check.doubt import Reason
from rigs.knob_check.reading import Reading, UnreadablePicture, read_turns
from tests.rigs.knob_check import pictures
from tests.rigs.knob_check.pictures import AFTER, BEFORE, WITHOUT, circles, photo


def read(later: bytes, before=None) -> list[Reading]:
    reference = before or photo(turns=BEFORE)
    return read_turns(reference.jpeg, later, circles(reference))


def test_turns_are_told_with_their_sign_and_what_stayed_is_told_to_have_stayed() -> None:
    reference, later = photo(turns=BEFORE), photo(turns=AFTER, off=12.0)
    # In the process for what somebody sent, as the server reads them.
    job = (reference.jpeg, later.jpeg, circles(reference))
    readings = apart.run(read_turns, *job, seconds=60)
    assert [r.reason for r in readings] == [None] * 4
    # Clockwise is more: what was drawn further clockwise comes back as a positive turn.
    told = [r.turn for r in readings]
    assert told == pytest.approx([0, 35, 0, -12], abs=4.0)
    assert all(r.before[:2] == r.after[:2] == b"\xff\xd8" for r in readings)


@pytest.mark.parametrize(("kind", "least"), [("dot", 4), ("chicken-head", 2)])
def test_dots_and_chicken_heads_are_told(kind: str, least: int) -> None:
    # A dot tells a turn only by where the middle of its cap is; round a chicken-head lies panel.
    kinds = (kind,) * 4
    reference = photo(turns=BEFORE, kinds=kinds)
    readings = read(photo(turns=AFTER, kinds=kinds, off=12.0).jpeg, reference)
    told = [(r.turn, true) for r, true in zip(readings, [0, 35, 0, -12], strict=True) if r.turn]
    assert len(told) >= least
    assert [turn for turn, _ in told] == pytest.approx([true for _, true in told], abs=6.0)


def test_a_cap_without_a_mark_is_not_told() -> None:
    reference = photo(turns=BEFORE, kinds=WITHOUT)
    readings = read(photo(turns=AFTER, kinds=WITHOUT, off=12.0).jpeg, reference)
    assert [r.turn for r in readings] == [None] * 4


def test_what_is_covered_or_cut_off_is_not_told_and_the_rest_is() -> None:
    later = photo(turns=AFTER, off=12.0)
    readings = read(pictures.spoilt(later, covered=1, cut=3))
    assert [r.turn is None for r in readings] == [False, True, False, True]
    assert readings[3].reason == Reason.OUTSIDE
    assert readings[0].turn == pytest.approx(0, abs=4.0)


@pytest.mark.parametrize("data", [b"", b"no picture", b"\xff\xd8\xff\xe0" + bytes(200)])
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(UnreadablePicture):
        read(data)
