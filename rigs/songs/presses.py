"""What one press does for a song, and what is still set by hand. No queries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rigs.changes.played import Layer, Played, Stands
from rigs.wording import ControlView, DifferenceView, RigView, SceneView
from rigs.wording.songs import control_at


@dataclass(frozen=True, slots=True)
class RunControl:
    """A control as it stands in the song; `control.changed` where it moved since the last one."""

    unit_name: str
    control: ControlView
    usual: bool  # it goes back to where it usually stands


@dataclass(frozen=True, slots=True)
class RunScene:
    """The scene that a unit stands in for a song; `pressed` where it has to be recalled for it.

    `scene` is None where the song names none and the song before ended in one: `back` is then what
    that had set, and what goes back as documented.
    """

    unit_name: str
    scene: SceneView | None = None
    pressed: bool = False
    was: str = ""  # the scene before, by number and name
    back: tuple[DifferenceView, ...] = ()

    @property
    def has_work(self) -> bool:
        return self.pressed or self.scene is None

    @property
    def behind(self) -> tuple[DifferenceView, ...]:
        """Everything that the one press sets, or that leaving the scene undoes."""
        return self.scene.sets if self.scene else self.back


def run_scenes(view: RigView, before: Played, now: Played) -> Iterator[RunScene]:
    """The scenes of a song that begins as `now`, after one that ended as `before`."""
    for unit in view.units:
        scene = view.scene(now.scenes.get(unit.id, ""))
        earlier = view.scene(before.scenes.get(unit.id, ""))
        was = earlier.label if earlier else ""
        if scene is not None:
            yield RunScene(unit.name, scene, _is_pressed(scene.id, unit.id, before, now), was)
        elif earlier is not None:
            back = tuple(each for each in earlier.sets if _is_documented(each, now))
            yield RunScene(unit.name, was=was, back=back)


def _is_pressed(scene: str, unit: str, before: Played, now: Played) -> bool:
    if before.scenes.get(unit) != scene:
        return True
    # The same scene, but somebody turned by hand what it had set: pressed once more, it is there.
    return any(
        was.overrules and was.scene == scene and now.controls[control].layer is Layer.SCENE
        for control, was in before.controls.items()
        if control in now.controls
    )


def _is_documented(each: DifferenceView, now: Played) -> bool:
    if each.what == "unit":
        return each.about not in now.units
    return each.about in now.controls and now.controls[each.about].layer is Layer.DOCUMENTED


def by_hand(view: RigView, before: Played, now: Played) -> Iterator[RunControl]:
    """The controls that a song sets itself, and those that it puts back where they usually stand.

    What a scene sets is not among them.
    """
    for unit in view.units:
        for usual in unit.controls:
            was, to = before.controls[usual.id], now.controls[usual.id]
            if to.layer is Layer.SCENE or Layer.SONG not in (was.layer, to.layer):
                continue
            earlier = control_at(usual, _found(was, to, before))
            shown = control_at(usual, to.value, earlier)
            is_usual = to.layer is Layer.DOCUMENTED
            # It stays where it was: told only where this song asks for it, and not as a move.
            if to.value == earlier.setting:
                if is_usual:
                    continue
                shown = replace(shown, changed=False, was=None, was_text="")
            yield RunControl(unit.name, shown, is_usual)


def _found(was: Stands, to: Stands, before: Played) -> str:
    """Where somebody finds the control: a scene that is recalled first has moved it."""
    recalled = bool(to.scene) and to.scene not in before.scenes.values()
    return to.in_scene if recalled else was.value
