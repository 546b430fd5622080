"""A change of instrument or a retune between two songs that takes longer than the gap."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench
from rigs.checks.between_songs import Fit, Move, Need, PlayedInstrument, moves
from rigs.checks.between_words import way_out
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured

KEY = "song_changes"
WHY = "The next song starts before the player has the instrument, or before it is in tune."
MEND = "A longer gap, another order of the set, or a second instrument that is tuned beforehand."


def check(bench: Bench) -> Iterator[Finding]:
    held = [PlayedInstrument(u.id, u.name, u.gear, u.tuning) for u in bench.units.values()]
    all_moves = moves(bench.songs, held, bench.times)
    for move in all_moves:
        for need in move.needs:
            if need.fit == Fit.SHORT:
                yield _short(bench, move, need)
    yield from _not_known([need for move in all_moves for need in move.needs])


def _short(bench: Bench, move: Move, need: Need) -> Finding:
    strings = () if need.strings is None else (Figure("strings", float(need.strings)),)
    return Finding(
        KEY,
        (*need.units, move.before.id, move.after.id),
        Severity.LOOK,
        f"“{move.before.title}” to “{move.after.title}”: {_lower(need.words)} takes longer than "
        "there is time",
        WHY,
        way_out(move) or MEND,
        Certainty.ESTIMATE,
        (
            Figure("takes", float(need.seconds or 0), "s"),
            Figure("there is", float(need.available or 0), "s"),
            *strings,
        ),
        (
            f"Changing the instrument takes {bench.times.change} s, retuning one string "
            f"{bench.times.string} s, as stated beside the run sheet or commonly assumed.",
        ),
    )


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


def _not_known(needs: list[Need]) -> Iterator[Finding]:
    """One finding for all that is missing, since a set without times has many gaps."""
    lacking = [need for need in needs if need.fit == Fit.UNKNOWN]
    if lacking:
        units = dict.fromkeys(unit for need in lacking for unit in need.units)
        missing = dict.fromkeys(need.missing for need in lacking)
        yield not_measured(KEY, units, "Changes between songs", missing, WHY)


RULE = Rule(KEY, "Is there time between two songs for what the next one needs?", check)
