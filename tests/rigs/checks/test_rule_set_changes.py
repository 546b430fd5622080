"""Changes between the songs of a show's set: the seconds are stated in each test."""

from __future__ import annotations

from rigs.checks.between_songs import ChangeSeconds, Move, Need, Piece
from rigs.checks.run import stage_findings
from rigs.checks.stage import ChangesOfSet, Stage, StageRig
from rigs.checks.stage_rules import set_changes

ONE, OTHER = StageRig("r1", "Main", "p1", "Ivo"), StageRig("r2", "Main", "p2", "Sanna")
EBB, LAMPS = Piece("a", "Alder Ebb", gap=20), Piece("b", "Ninety Lamps")


def stage(*needs: Need, rig: str = "r1") -> Stage:
    moves = {rig: (Move(EBB, LAMPS, needs),)}
    return Stage("s", (ONE, OTHER), changes=ChangesOfSet(moves, ChangeSeconds(30, 15)))


def test_it_is_said_whose_change_is_too_short() -> None:
    too_long = "change from “Huvel” to “Whin” takes longer than there is time"
    need = Need("Change from “Huvel” to “Whin”", 30, 20, too_long=too_long)
    (found,) = stage_findings(stage(need, rig="r2"))
    assert found.rule == "set_changes"
    assert found.title.startswith("Sanna: “Alder Ebb” to “Ninety Lamps”: change from")


def test_what_fits_and_rigs_that_do_not_play_are_silent() -> None:
    assert list(set_changes.check(stage(Need("Change", 20, 20)))) == []
    assert list(set_changes.check(stage(Need("Change", 30, 20), rig="elsewhere"))) == []
    assert list(set_changes.check(Stage("s", (ONE,)))) == []
