"""Two rigs of one player at the same show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageRig

KEY = "rigs_of_player"
WHY = "The inputs, microphones and power of all of them are counted for this show."


def check(stage: Stage) -> Iterator[Finding]:
    by_player: dict[str, list[StageRig]] = defaultdict(list)
    for rig in stage.rigs:
        by_player[rig.player].append(rig)
    for rigs in by_player.values():
        if len(rigs) > 1:
            yield _finding(rigs)


def _finding(rigs: list[StageRig]) -> Finding:
    names = ", ".join(rig.name for rig in rigs)
    return Finding(
        KEY,
        tuple(rig.id for rig in rigs),
        Severity.LOOK,
        f"{len(rigs)} rigs of {rigs[0].player_name} play: {names}",
        WHY,
        "If only one of them is meant, say under “Which rigs play” that the others stay out.",
        Certainty.CERTAIN,
        (Figure("rigs of this player", str(len(rigs))),),
    )


RULE = Rule(KEY, "Does a player play more than one rig?", check)
