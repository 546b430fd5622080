"""What a scene is to switch or to turn, and what the unit that recalls it can reach."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import AUDIO, Bench, BenchScene, BenchUnit
from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured

KEY = "scene_loops"
WHY = gettext_lazy(
    "One press does not do all that the scene says; in the song something stays as it was."
)


def check(bench: Bench) -> Iterator[Finding]:
    for holder in bench.units.values():
        scenes = [scene for scene in bench.scenes if scene.holder == holder.id]
        if not scenes:
            continue
        if not holder.traits.holds_scenes:
            yield _recalls_none(holder, scenes)
        elif _is_cabled(bench, holder) or not _others(scenes, holder):
            for scene in scenes:
                yield from _out_of_reach(bench, holder, scene)
        else:
            parts = (holder.id, *(scene.id for scene in scenes))
            yield not_measured(
                KEY,
                parts,
                _("Scenes of {holder}").format(holder=holder.name),
                [gettext_lazy("its cables")],
                WHY,
            )


def _is_cabled(bench: Bench, holder: BenchUnit) -> bool:
    return any(holder.id in (link.source, link.target) for link in bench.links)


def _others(scenes: list[BenchScene], holder: BenchUnit) -> bool:
    """Whether one of the scenes speaks of anything but the unit that recalls it."""
    return any({*s.units, *(turned.unit for turned in s.controls)} - {holder.id} for s in scenes)


def _out_of_reach(bench: Bench, holder: BenchUnit, scene: BenchScene) -> Iterator[Finding]:
    led = controlled(bench, holder)
    on_loops = led | loops(bench, holder)
    apart = [bench.units[u] for u in scene.units if u in bench.units and u not in on_loops]
    if apart:
        names = listed([unit.name for unit in apart])
        yield Finding(
            KEY,
            (holder.id, *(unit.id for unit in apart), scene.id),
            Severity.LOOK,
            _("Scene “{scene}”: {names} on no loop of {holder}").format(
                scene=scene.name, names=names, holder=holder.name
            ),
            str(WHY),
            _("Add the cable of the loop or of the control, or take it out of the scene."),
            Certainty.CERTAIN,
            (Figure(_("on no loop"), names),),
        )
    by_hand = [turned for turned in scene.controls if turned.unit not in led]
    units = dict.fromkeys(turned.unit for turned in by_hand if turned.unit in bench.units)
    if units:
        names = listed([f"{bench.units[t.unit].name} {t.name}" for t in by_hand if t.unit in units])
        yield Finding(
            KEY,
            (holder.id, *units, scene.id),
            Severity.LOOK,
            _("Scene “{scene}”: no control cable leads from {holder} to {names}").format(
                scene=scene.name, holder=holder.name, names=names
            ),
            _("A loop takes a unit in and out, and turns none of its knobs: somebody has to."),
            _("Add the control cable, or make it a setting of the song, which is set by hand."),
            Certainty.CERTAIN,
            (Figure(_("not led by a control cable"), names),),
        )


def controlled(bench: Bench, holder: BenchUnit) -> set[str]:
    """The ids of the unit itself and of all that control cables lead to from it."""
    reached, waiting = {holder.id}, [holder.id]
    while waiting:
        for link in bench.links_from(waiting.pop(), "control"):
            if link.target not in reached:
                reached.add(link.target)
                waiting.append(link.target)
    return reached


def loops(bench: Bench, holder: BenchUnit) -> set[str]:
    """The ids of what it feeds, and of what stands between its sends and its returns."""
    fed = {link.target for link in bench.links_from(holder.id, *AUDIO)}
    after, waiting = set(fed), list(fed)
    while waiting:
        for link in bench.links_from(waiting.pop(), *AUDIO):
            # Beyond the unit itself it is the path, and no loop.
            if link.target not in after and link.target != holder.id:
                after.add(link.target)
                waiting.append(link.target)
    before = {unit.id for unit in bench.upstream(holder)}
    return fed | (after & before)


def _recalls_none(holder: BenchUnit, scenes: list[BenchScene]) -> Finding:
    names = listed([scene.name for scene in scenes])
    return Finding(
        KEY,
        (holder.id, *(scene.id for scene in scenes)),
        Severity.LOOK,
        _("{holder}: gear of this kind recalls no scenes").format(holder=holder.name),
        _("The crew looks for a press that is not there."),
        _("Say what kind of gear it is, or retire the scenes."),
        Certainty.CERTAIN,
        (Figure(_("scenes"), names),),
    )


RULE = Rule(KEY, gettext_lazy("Can one press do all that a scene says?"), check)
