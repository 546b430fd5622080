from __future__ import annotations

from rigs.knob_check.scoring import Tally, Try, tally


def test_what_is_told_wrong_counts_though_nobody_could_read_it() -> None:
    tries = [
        Try(3.0, 0.0),
        Try(-179.0, 179.0),  # two degrees apart, across the seam
        Try(9.0, 0.0),
        Try(None, 10.0),
        Try(50.0, 0.0, readable=False),
    ]
    assert tally(tries) == Tally(
        tries=5, readable=4, found=2, near=2, refused=1, told=4, wrong=2, gross=1
    )
