"""Which inputs belong together in time and in polarity, for all rules at once. Pure.

Rules that each look at two inputs only could delay a third one back and forth: a DI cannot be as
late as two microphones that are apart. Whatever is known of pairs is therefore put together
first, what was measured on clips before what the tape or common practice says, and what
contradicts the better known is left out. Rules read the outcome and propose only what leads there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, product
from typing import NamedTuple

from rigs.changes.edits import Set
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.pairs import FACES, SIDES, pairs
from rigs.checks.paths import LONGEST_MS, is_unclear, predicted
from rigs.places import Measurement


class Groups:
    """Things grouped by known differences; what is said first of two of them holds."""

    def __init__(self) -> None:
        self._members: dict[str, dict[str, float]] = {}  # one shared dict a group

    def relate(self, one: str, other: str, difference: float) -> None:
        """State that `other` has `difference` more than `one`; ignored if that is known already."""
        mine = self._members.setdefault(one, {one: 0.0})
        theirs = self._members.setdefault(other, {other: 0.0})
        # Related already, if only through others: what was said first was known better.
        if mine is theirs:
            return
        shift = mine[one] + difference - theirs[other]
        # One dict is shared by all members, as in a union-find with a value on each node.
        for name, value in theirs.items():
            mine[name] = value + shift
            self._members[name] = mine

    def values(self, name: str) -> dict[str, float]:
        """Every member of the group of `name`, with its value, counted from any of them."""
        return self._members.get(name, {name: 0.0})


def measurement(bench: Bench, one: BenchInput, other: BenchInput) -> Measurement | None:
    """The measurement of two inputs that still holds; None after one of them was moved."""
    for each in bench.measured:
        if {each.first, each.second} == {one.id, other.id} and each.moved_in is None:
            return each
    return None


def is_opposed(bench: Bench, one: BenchInput, other: BenchInput) -> bool:
    """Whether the polarities of two inputs are opposed at the desk.

    This follows from their switches and from what was measured ahead of them. Where nobody
    measured it, the polarities ahead of the desk are taken to be alike.
    """
    switched = one.reversed_polarity != other.reversed_polarity
    measured = measurement(bench, one, other)
    return switched != (measured is not None and measured.polarity < 0)


def di_and_mic_pairs(bench: Bench) -> Iterator[tuple[BenchInput, BenchInput]]:
    """Each DI paired with each microphone that hears the same source, and that one alone.

    Before several units a microphone is as far from each as it is: no one delay fits.
    """
    dis = [entry for entry in bench.inputs if entry.is_di and entry.units]
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.is_of_one]
    return ((d, m) for d, m in product(dis, mics) if bench.sources(d) & bench.sources(m))


def mic_pairs(bench: Bench) -> Iterator[tuple[BenchInput, BenchInput]]:
    """Pairs of microphones on one unit, or on the very same units, that no rule about names
    looks at.

    Left out are a stereo pair and the two faces of a drum, which have rules of their own; and
    those that share only some of what they pick up, as a close microphone and an overhead do:
    their distances are of different sounds.
    """
    named = {
        frozenset((a.id, b.id)) for words in (SIDES, FACES) for a, b in pairs(bench.inputs, words)
    }
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.units and entry.reference]
    for one, other in combinations(mics, 2):
        if one.unit_ids == other.unit_ids and frozenset((one.id, other.id)) not in named:
            yield one, other


def face_pairs(bench: Bench) -> Iterator[tuple[BenchInput, BenchInput]]:
    """Pairs of microphones on two faces of one unit, recognised by their names."""
    # Only one thing has two faces: a front and a rear microphone of the whole kit are none.
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.is_of_one]
    for one, other in pairs(mics, FACES):
        if one.unit_ids == other.unit_ids:
            yield one, other


class ArrivalTimes(NamedTuple):
    """The moments in s when the sound of inputs is summed, delays of the desk included."""

    groups: Groups
    inputs: dict[str, BenchInput]

    def later_by(self, one: BenchInput, other: BenchInput) -> float | None:
        """The seconds by which `other` is later than `one`; None where nothing says it."""
        values = self.groups.values(one.id)
        return values[other.id] - values[one.id] if other.id in values else None

    def edits(self, *entries: BenchInput) -> tuple[Set, ...]:
        """The delays that bring these to the latest of all that belong together with them."""
        values = self.groups.values(entries[0].id)
        latest = max(values.values())
        edits = []
        for entry in entries:
            delay_ms = ((entry.delay or 0.0) + latest - values[entry.id]) * 1000
            # None rather than some of them: half of an alignment is a new misalignment.
            if delay_ms > LONGEST_MS:
                return ()
            # s; what two decimals of a millisecond show at the desk.
            if latest - values[entry.id] > 1e-5:
                edits.append(Set(entry.id, "input", {"delay_ms": f"{delay_ms:.2f}"}))
        return tuple(edits)


def times(bench: Bench) -> ArrivalTimes:
    """Arrival times of each DI with its microphones, and of the microphones of one unit."""
    asked = [*di_and_mic_pairs(bench), *mic_pairs(bench)]
    clear = [(a, b) for a, b in asked if not (is_unclear(a) or is_unclear(b))]
    groups, rest = Groups(), []
    for one, other in clear:
        later = _measured_later(bench, one, other)
        if later is None:
            rest.append((one, other))
        else:
            groups.relate(one.id, other.id, later)
    # After all that was measured: a tape only adds what no measurement reaches.
    for one, other in rest:
        tape = predicted(one, other, bench.speed)
        if tape.seconds is not None:
            groups.relate(one.id, other.id, tape.seconds + _set_apart(one, other))
    return ArrivalTimes(groups, {entry.id: entry for entry in bench.inputs})


def _measured_later(bench: Bench, one: BenchInput, other: BenchInput) -> float | None:
    measured = measurement(bench, one, other)
    if measured is None or (measured.through_desk and (one.delay or other.delay)):
        return None  # what the desk delayed when it was recorded is not known
    later = measured.delay_s if measured.first == one.id else -measured.delay_s
    return later + _set_apart(one, other)


def _set_apart(one: BenchInput, other: BenchInput) -> float:
    return (other.delay or 0.0) - (one.delay or 0.0)


class Polarities(NamedTuple):
    """The polarities that inputs should have towards each other; odd values mean reversed."""

    groups: Groups

    def wrong(self, entries: Iterable[BenchInput]) -> dict[str, bool]:
        """Whether each input, by its id, is set the other way than its group wants.

        Of the two ways to put a group right, the one that turns fewer inputs counts.
        """
        wrong: dict[str, bool] = {}
        entries = list(entries)
        by_id = {entry.id: entry for entry in entries}
        for entry in entries:
            if entry.id in wrong:
                continue
            values = self.groups.values(entry.id)
            members = sorted(name for name in values if name in by_id)
            off = {n: (values[n] % 2 == 1) != by_id[n].reversed_polarity for n in members}
            # Of equally many, the first by id stays as it is.
            count = sum(off.values())
            turned = 2 * count > len(members) or (2 * count == len(members) and off[members[0]])
            wrong |= {n: off[n] != turned for n in members}
        return wrong


def polarities(bench: Bench) -> Polarities:
    """Polarities as measured, then by the rule that the two faces of one thing differ."""
    groups, inputs = Groups(), {entry.id for entry in bench.inputs}
    for each in bench.measured:
        if each.moved_in is None and {each.first, each.second} <= inputs:
            groups.relate(each.first, each.second, 0 if each.polarity > 0 else 1)
    for one, other in face_pairs(bench):
        groups.relate(one.id, other.id, 1)
    return Polarities(groups)


def is_related(polarities: Polarities, one: BenchInput, other: BenchInput) -> int | None:
    """0 if the two should be set alike, 1 if they should be opposed; None if nothing says it."""
    values = polarities.groups.values(one.id)
    return round(values[other.id] - values[one.id]) % 2 if other.id in values else None
