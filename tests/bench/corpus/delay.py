"""How often the delay and polarity of two captures are found, refused, or wrong."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from notes.listening.relation import Relation, relate
from rigs.checks.paths import agree
from tests.bench.corpus import packages
from tests.bench.corpus.pairs import KINDS, Pair, make, two_takes
from tests.bench.corpus.sources import RATE, Source, of_half

WRONG_S = 0.0003  # 10 cm of air
CONDITIONS: dict[str, tuple[float, float | None]] = {
    "neither bleed nor drift": (0, None),
    "bleed at −6 dB": (0, -6),
    "bleed at 0 dB": (0, 0),
    "50 ppm": (50, None),
    "−100 ppm": (-100, None),
    "200 ppm": (200, None),
}


@dataclass(frozen=True)
class Judged:
    relation: Relation | None
    pair: Pair

    @property
    def by_tape(self) -> Judged:
        """The same where the crew has written down how far each microphone is."""
        found = self.relation
        # Two recorders began whenever they did: then the page asks no tape.
        if found is None or found.likeliest_s is None or found.drift_ppm:
            return self
        borne_out = agree(found.likeliest_s, self.pair.taped_s)
        return replace(self, relation=replace(found, borne_out=borne_out))

    @property
    def sure(self) -> bool:
        return bool(self.relation and self.relation.is_certain)

    @property
    def right(self) -> bool:
        best = self.relation.best if self.relation else None
        if best is None:
            return False
        return (
            abs(best.delay_s - self.pair.delay_s) < WRONG_S and best.polarity == self.pair.polarity
        )


def judged(condition: str, every: Sequence[Source], turns: tuple[int, ...] = (0,)) -> list[Judged]:
    """Each recording as one kind of pair; another for each of `turns`."""
    ppm, bleed = CONDITIONS[condition]
    out = []
    for turn in turns:
        for at, source in enumerate(every):
            beside = every[(at + 7) % len(every)]
            pair = _kept(source, beside, KINDS[(at + turn) % len(KINDS)], ppm, bleed)
            out.append(Judged(related(pair), pair))
    return out


def _kept(source: Source, beside: Source, kind: str, ppm: float, bleed: float | None) -> Pair:
    """The pair, made once and kept beside the recordings, since making takes as long as judging."""
    told = f"3 {bleed is not None} {source.name} {beside.name} {kind} {ppm} {bleed}"
    path = packages.folder() / "made" / f"{hashlib.sha256(told.encode()).hexdigest()[:24]}.npz"
    if not path.is_file():
        pair = make(source, beside, kind, ppm=ppm, bleed_db=bleed)
        path.parent.mkdir(exist_ok=True)
        np.savez(
            path,
            first=pair.first.astype(np.float32),
            second=pair.second.astype(np.float32),
            truth=np.array([pair.delay_s, pair.polarity]),
        )
    with np.load(path) as kept:
        delay_s, polarity = (float(each) for each in kept["truth"])
        return Pair(kind, kept["first"], kept["second"], delay_s, int(polarity), ppm)


def related(pair: Pair) -> Relation | None:
    try:
        found = relate(pair.first, pair.second, (RATE, RATE))
    except ValueError:
        return None
    # As the page of two captures knows it from the device of each input.
    return replace(found, direct=pair.kind == "DI and microphone")


def main(half: str, most: int, turns: tuple[int, ...] = (0,), first: int = 1) -> None:
    every = of_half(half)[first - 1 : most]
    print(f"### {half} half\n")
    print(
        "| what | pairs | found | wrong | refused | guessed right of these | found, % | "
        "wrong of the sure, % | called two performances |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    whole: list[Judged] = []
    by_kind: dict[str, list[Judged]] = {kind: [] for kind in KINDS}
    for condition in CONDITIONS:
        these = judged(condition, every, turns)
        whole += these
        for each in these:
            by_kind[each.pair.kind].append(each)
        print(_row(condition, these), flush=True)
        print(_row(f"{condition}, distances by tape", [each.by_tape for each in these]))
    for kind, these in by_kind.items():
        print(_row(f"all of it, {kind}", these))
        print(_row(f"all of it, {kind}, distances by tape", [each.by_tape for each in these]))
    print(_row("all of it", whole))
    takes = [two_takes(source) for source in every]
    stated = Counter(_stated(*take) for take in takes if take)
    print(
        f"\nTwo halves of one recording: {stated.total()}; called one performance "
        f"{stated['one']}, unclear {stated['unclear']}, two {stated['two']}."
    )


def _stated(first: object, second: object) -> str:
    try:
        one = relate(first, second, (RATE, RATE)).one_performance  # type: ignore[arg-type]
    except ValueError:
        return "two"
    return {True: "one", False: "two", None: "unclear"}[one]


def _row(what: str, these: list[Judged]) -> str:
    found = sum(each.sure and each.right for each in these)
    wrong = sum(each.sure and not each.right for each in these)
    refused = [each for each in these if not each.sure]
    guessed = sum(each.right for each in refused)
    two = sum(not (each.relation and each.relation.one_performance is not False) for each in these)
    share = 100 * found / max(1, len(these))
    return (
        f"| {what} | {len(these)} | {found} | {wrong} | {len(refused)} | {guessed} | {share:.0f} | "
        f"{100 * wrong / max(1, found + wrong):.1f} | {two} |"
    )
