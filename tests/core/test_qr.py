"""QR codes are read by ZXing, which knows nothing of how they were drawn."""

from __future__ import annotations

import re

import numpy as np
import pytest

from core import qr
from tests.support.squares import squares_in

ADDRESSES = (
    "http://192.168.1.20:8000/",
    "https://notebook.example.org/join/" + "aZ-_09" * 8 + "/",
)
# The two halves of a character cell (Unicode, block elements): whether each of them is lit.
HALVES = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}


def seen(lines: list[str], size: int = 6) -> np.ndarray:
    """The lines as they stand on a terminal whose cells are twice as high as wide."""
    lit = np.array([[HALVES[cell] for cell in line] for line in lines], dtype=np.uint8)
    rows = lit.transpose(0, 2, 1).reshape(-1, lit.shape[1])
    return np.stack([np.kron(rows * 255, np.ones((size, size), dtype=np.uint8))] * 3, axis=-1)


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("colours", [False, True])
def test_a_phone_reads_it_off_a_terminal(address: str, colours: bool) -> None:
    drawn = qr.for_terminal(address, colours=colours)
    lines = drawn.splitlines()
    if colours:  # white on black, whatever the ground of the terminal is
        assert all(line.startswith("\x1b[97;40m") and line.endswith("\x1b[0m") for line in lines)
    assert squares_in(seen([re.sub(r"\x1b\[[\d;]*m", "", line) for line in lines])) == [address]


def test_on_a_page_it_holds_no_text_of_the_address() -> None:
    drawn = qr.for_page("https://example.org/<script>")
    assert drawn.startswith("<svg")
    assert "script" not in drawn
    assert "style=" not in drawn
