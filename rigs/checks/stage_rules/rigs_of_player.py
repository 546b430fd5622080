"""Two rigs of one player at the same show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageRig

KEY = "rigs_of_player"
WHY = gettext_lazy("The inputs, microphones and power of all of them are counted for this show.")


def check(stage: Stage) -> Iterator[Finding]:
    by_player: dict[str, list[StageRig]] = defaultdict(list)
    for rig in stage.rigs:
        by_player[rig.player].append(rig)
    for rigs in by_player.values():
        if len(rigs) > 1:
            yield _finding(rigs)


def _finding(rigs: list[StageRig]) -> Finding:
    names = listed([rig.name for rig in rigs])
    return Finding(
        KEY,
        tuple(rig.id for rig in rigs),
        Severity.LOOK,
        _("{n} rigs of {player} play: {names}").format(
            n=len(rigs), player=rigs[0].player_name, names=names
        ),
        str(WHY),
        _("If only one of them is meant, say under “Which rigs play” that the others stay out."),
        Certainty.CERTAIN,
        (Figure(_("rigs of this player"), str(len(rigs))),),
    )


RULE = Rule(KEY, gettext_lazy("Does a player play more than one rig?"), check)
