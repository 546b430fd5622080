"""Wedges and fills stand on the stage plot, in-ear mixes do not."""

from __future__ import annotations

from notes.models import MonitorMix
from notes.monitors.services import create
from notes.monitors.state import MixState
from rigs.models import PlotPlace
from rigs.plot.load import plot_of
from tests.support.world import World


def test_what_stands_on_stage_is_on_the_plot(world: World) -> None:
    create(
        world.production, MixState("Side fill", "side_fill", position="both sides"), by=world.tech
    )
    create(world.production, MixState("Ears", "ear_stereo", position="everywhere"), by=world.tech)
    fill = MonitorMix.objects.get(name="Side fill")
    PlotPlace.objects.create(
        production=world.production, monitor=fill.pk, right_m="-4", up_m="2", width_m="0.6"
    )
    things = {each.name: each for each in plot_of(world.production).things}
    assert "Ears" not in things
    assert things["Side fill"].place == "4 m stage left, 2 m upstage"
    assert things["Side fill"].said == "both sides"
    assert things["Side fill"].more == ("side fill",)
