"""How often the cause of a difference is named first, in the first three, or nothing rightly.

Signed are the first three of four takes (or pieces) of a recording, and the scatter is measured on
them. One performance: the third again, changed. Another take: the fourth, changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from notes.causes.hearing import Heard, hear, hertz
from notes.causes.rank import LIKELY, NOTHING, Ranking, rank
from notes.causes.scatter import FEWEST, Scatter, assumed, measured, together
from tests.bench.corpus.changes import ADDED, CHANGES, OTHERS, Change, heard_again, takes_of
from tests.bench.corpus.sources import RATE, of_half

ONE, OTHER = "one performance", "another take"
UNCHANGED = Change("nothing", NOTHING, lambda sound: sound)


@dataclass(frozen=True)
class Case:
    change: Change
    which: str
    source: str
    signed: Heard
    tonight: Heard
    scatter: Scatter
    # What the change did to each band of that same take, dB.
    by: NDArray[np.float64]


def cases(half: str, most: int, first: int = 1) -> Iterator[Case]:
    used = 0
    for source in of_half(half):
        takes = takes_of(source)
        if not takes or used == most:
            continue
        try:
            heard = [hear(each, RATE) for each in takes]
        except ValueError:
            continue
        used += 1
        if used < first:
            continue
        spread, signed = measured(heard[:3]), together(heard[:3])
        for change in (UNCHANGED, *CHANGES, *ADDED, *OTHERS):
            again, other = (
                hear(heard_again(change.make(takes[at]), at - 1), RATE) for at in (2, 3)
            )
            once, anew = (one.levels - heard[at].levels for one, at in ((again, 2), (other, 3)))
            alike = assumed(one_performance=True)
            yield Case(change, ONE, source.kind, heard[2], again, alike, once)
            yield Case(change, OTHER, source.kind, signed, other, spread, anew)


def main(half: str, most: int, first: int = 1) -> None:
    print(f"### {half} half\n")
    print("| change | sound | cases | first | in the first three | told as likely and wrong |")
    print("|---|---|---|---|---|---|")
    judged = [
        (case, rank(case.signed, case.tonight, case.scatter)) for case in cases(half, most, first)
    ]
    for which in (ONE, OTHER):
        for change in (*CHANGES, *ADDED, UNCHANGED, *OTHERS):
            print(_row(change.name, which, _of(judged, which, [change])))
        print(_row("all changes", which, _of(judged, which, CHANGES)))
        print(_row("all changes, the added too", which, _of(judged, which, (*CHANGES, *ADDED))))
        for kind in sorted({case.source for case, _ in judged}):
            these = [each for each in _of(judged, which, CHANGES) if each[0].source == kind]
            print(_row(f"all changes, {kind}", which, these))
    likely = [(case, found) for case, found in judged if found.best.share >= LIKELY]
    wrong = sum(found.best.key != case.change.kind for case, found in likely)
    print(f"\nTold as likely: {len(likely)} of {len(judged)}, of these not the cause: {wrong}.")
    print(f"Most evidence of a cause that is not there: {_most_wrong(judged):.4f}.")
    told = [found.tells for _, found in _of(judged, OTHER, [UNCHANGED])]
    print(f"\nAnother take, nothing changed: {sum(told)} of {len(told)} tell a difference.")
    large = [each for each in _of(judged, OTHER, CHANGES) if each[0].change.band]
    right = sum(_band_told(case, found) for case, found in large)
    print(f"Another take, a large change: band and sign told in {right} of {len(large)}.")
    for times in (1.0, 1.5):
        beyond = [each for each in large if _beyond_scatter(each[0], times)]
        right = sum(_band_told(case, found) for case, found in beyond)
        print(f"By more than {times:g} times what stays untold: {right} of {len(beyond)}.")


def own(folder: Path) -> None:
    """A crew's own recordings of one change each, scored the same way.

    FOLDER/<case>/signed*.wav (three or more are better), tonight.wav, and cause.txt with the key of
    what was changed (a file name of notes/causes/kinds, or nothing, or none).
    """
    print("| case | changed | first | place |")
    print("|---|---|---|---|")
    for case in sorted(each for each in folder.iterdir() if (each / "cause.txt").is_file()):
        changed = (case / "cause.txt").read_text().strip()
        takes = [_of_file(path) for path in sorted(case.glob("signed*.wav"))]
        scatter = measured(takes) if len(takes) >= FEWEST else assumed(one_performance=False)
        found = rank(together(takes), _of_file(case / "tonight.wav"), scatter)
        keys = [each.key for each in found.causes]
        place = keys.index(changed) + 1 if changed in keys else "no such kind"
        print(f"| {case.name} | {changed} | {found.best.key} ({found.best.share:.2f}) | {place} |")


def _of_file(path: Path) -> Heard:
    sound, rate = soundfile.read(path, always_2d=True)
    return hear(sound, rate)


def _of(
    judged: list[tuple[Case, Ranking]], which: str, changes: object
) -> list[tuple[Case, Ranking]]:
    return [each for each in judged if each[0].which == which and each[0].change in changes]  # type: ignore[operator]


def _row(name: str, which: str, these: list[tuple[Case, Ranking]]) -> str:
    places = [_place(case, found) for case, found in these]
    first = sum(at == 0 for at in places)
    three = sum(at < 3 for at in places)  # noqa: PLR2004 - what the column says
    wrong = sum(
        found.best.share >= LIKELY and found.best.key != case.change.kind for case, found in these
    )
    count = max(1, len(these))
    return (
        f"| {name} | {which} | {len(these)} | {first} ({100 * first / count:.0f} %) | "
        f"{three} ({100 * three / count:.0f} %) | {wrong} |"
    )


def _most_wrong(judged: list[tuple[Case, Ranking]]) -> float:
    """Certain would be 1, which no page shows: it says likely, possible or hardly."""
    return max(
        (found.best.share for case, found in judged if found.best.key != case.change.kind),
        default=0.0,
    )


def _place(case: Case, found: Ranking) -> int:
    """Where the right cause stands; last where it was not asked about, as the tuning of drums."""
    keys = [each.key for each in found.causes]
    return keys.index(case.change.kind) if case.change.kind in keys else len(keys)


def _inside(change: Change) -> NDArray[np.bool_]:
    low, high = change.band or (0, 0)
    return np.asarray((hertz() > low * 0.95) & (hertz() < high * 1.05))


def _beyond_scatter(case: Case, times: float) -> bool:
    """Whether the change did more to its bands than `times` what pages of signatures say stays
    untold, which is twice the standard deviation by which takes scatter."""
    inside = _inside(case.change)
    both = np.isfinite(case.signed.errors + case.tonight.errors)[inside]
    did = np.median(np.abs(case.by[inside]))
    return bool(both.any() and did > times * np.median(case.scatter.untold[inside]))


def _band_told(case: Case, found: Ranking) -> bool:
    told = found.counted[_inside(case.change)]
    told = told[np.isfinite(told)]
    return bool(len(told) and (np.sign(told) == case.change.sign).all())
