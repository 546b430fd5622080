"""What the history of links keeps is English, and told in the language of the reader."""

from __future__ import annotations

import pytest
from django.utils import translation

import core.guests.links  # noqa: F401 - which says how its history is told
from core.models import GuestChange


@pytest.mark.parametrize(
    ("title", "told"),
    [
        ("Run sheet, 3 Dec 2026 · Winter Garden", "Ablaufplan, 3. Dez. 2026 · Winter Garden"),
        ("Handover 2, Autumn", "Übergabe 2, Autumn"),
        ("Bass rig, Ines Halloran", "Bass rig, Ines Halloran"),
        ("Bass 2, Ines", "Bass 2, Ines"),
    ],
)
def test_titles_of_what_was_shared(title: str, told: str) -> None:
    shared = "Shared with {whom} until 4 Dec 2026: {title}."
    kept = GuestChange(words=[shared], whom="the hire firm", title=title)
    # As it was written before names had places of their own.
    before = GuestChange(words=[shared.format(whom="the hire firm", title=title)])
    with translation.override("de"):
        for change in (kept, before):
            assert change.told == [f"Geteilt mit the hire firm bis 4. Dez. 2026: {told}."]
