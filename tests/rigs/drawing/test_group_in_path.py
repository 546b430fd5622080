"""A group stands in the signal path between its units and what picks it up."""

from __future__ import annotations

from rigs.drawing.graph import graph_of
from rigs.drawing.path import sentences, signal_path
from rigs.wording.views import GroupView, InputView, RigView
from tests.support.views import unit

KICK, SNARE = unit("Kick", gear="drum"), unit("Snare", gear="drum")


def rig(*inputs: InputView, members: tuple[str, ...] = (KICK.id, SNARE.id)) -> RigView:
    names = tuple("Kick" if each == KICK.id else "Snare" for each in members)
    return RigView(
        *("rig", "Kit", "main", "main rig", "", ""),
        retired=False,
        units=(KICK, SNARE),
        inputs=inputs,
        groups=(GroupView("kit", "the kit", members, names),),
    )


OVER = [InputView(f"over{n}", n, f"Overhead {n}", chosen=("kit",)) for n in (5, 6)]


def test_each_unit_leads_to_its_group_once_and_the_group_to_its_inputs() -> None:
    graph = graph_of(rig(*OVER))
    ends = {(cable.source, cable.target) for cable in graph.cables}
    assert ends == {(KICK.id, "kit"), (SNARE.id, "kit"), ("kit", "over5"), ("kit", "over6")}
    assert graph.findings == []
    assert "The kit is Kick and Snare." in sentences(rig(*OVER))
    assert "the kit is taken up by input 5 Overhead 5." in sentences(rig(*OVER))
    assert "path-group" in str(signal_path(rig(*OVER)))


def test_a_group_that_nothing_picks_up_is_not_drawn_and_an_empty_one_is_told() -> None:
    alone = rig(InputView("in", 1, "Kick in", KICK.id, (KICK.id,), (KICK.id,)))
    assert [station.name for station in graph_of(alone).stations if station.is_group] == []
    assert "No input takes up Snare." in graph_of(alone).findings
    empty = graph_of(rig(*OVER, members=()))
    assert "Nobody has said which units belong to the kit." in empty.findings
