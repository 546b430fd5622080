"""Which song a take may be: from what was written then, by order and length of the set."""

from __future__ import annotations

from uuid import UUID, uuid4

import pytest

from notes.takes.find import Span
from notes.takes.songs import Heard, SetSong, propose

pytestmark = pytest.mark.any_database

A, B, C, D = (uuid4() for _ in range(4))
SET = [SetSong(A, 240), SetSong(B, 180), SetSong(C, 330), SetSong(D, 200)]


def takes(*seconds: float) -> list[Span]:
    spans, at = [], 30.0
    for each in seconds:
        spans.append(Span(at, at + each))
        at += each + 30
    return spans


def songs(*args: object, **more: object) -> list[UUID | None]:
    return [each.song for each in propose(*args, **more)]  # type: ignore[arg-type]


def test_one_take_of_each_in_order() -> None:
    assert songs(takes(236, 184, 325, 205), SET) == [A, B, C, D]


def test_a_song_played_again_and_one_left_out() -> None:
    # Two of B, C left out, then D.
    assert songs(takes(241, 181, 178, 203), SET) == [A, B, B, D]


def test_what_was_written_goes_first() -> None:
    spans = takes(180, 181)
    # During the first take, and half a minute after the second.
    heard = [Heard(spans[0].starts_s + 20, D), Heard(spans[1].ends_s + 30, A)]
    found = propose(spans, SET, heard)
    assert [each.song for each in found] == [D, A]
    assert all(each.noted for each in found)


def test_two_songs_written_down_in_one_take_say_nothing() -> None:
    spans = takes(240)
    heard = [Heard(spans[0].starts_s + 1, B), Heard(spans[0].starts_s + 2, C)]
    (found,) = propose(spans, SET, heard)
    assert (found.song, found.noted) == (A, False)


def test_a_note_long_after_is_about_something_else() -> None:
    spans = takes(240)
    (found,) = propose(spans, SET, [Heard(spans[0].ends_s + 601, D)])
    assert not found.noted


def test_without_lengths_the_order_alone_says_nothing() -> None:
    unknown = [SetSong(each.song) for each in SET]
    assert songs(takes(240, 180), unknown) == [None, None]
    # Unless there are as many takes as songs.
    assert songs(takes(240, 180, 300, 200), unknown) == [A, B, C, D]


def test_nothing_played_and_nothing_to_play() -> None:
    assert propose([], SET) == []
    assert songs(takes(200), []) == [None]
