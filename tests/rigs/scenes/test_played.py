"""How a rig stands in a song: documented, then scenes, then the song's own. Whatever the settings.

The expected values are those of the rule itself, told anew here one control at a time.
"""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.played import Layer, played

CONTROLS = ["c1", "c2", "c3"]
UNITS = ["u1", "u2"]
SCENES = {"s1": "h1", "s2": "h1", "s3": "h2"}  # with the unit that recalls each
VALUES = st.sampled_from(["1", "2", "3"])
some = st.dictionaries(st.sampled_from(CONTROLS), VALUES)
switched = st.dictionaries(st.sampled_from(UNITS), st.sampled_from(["in", "bypassed"]))
rigs = st.fixed_dictionaries(
    {
        "documented": some,
        "scenes": st.fixed_dictionaries({s: st.tuples(some, switched) for s in SCENES}),
        "own": some,
        "begins": st.sets(st.sampled_from(["s1", "s3"])),
    }
)
pressed = st.lists(st.sampled_from([*SCENES, "no such scene"]), max_size=5)


def snapshot(rig: dict[str, Any]) -> dict[str, dict[str, Any]]:
    parts: dict[str, dict[str, Any]] = {
        **{h: {"kind": "unit", "name": h, "position": n} for n, h in enumerate(["h1", "h2"])},
        **{u: {"kind": "unit", "name": u} for u in UNITS},
        **{c: {"kind": "control", "setting": rig["documented"].get(c, "")} for c in CONTROLS},
        **{s: {"kind": "scene", "unit": unit, "name": s} for s, unit in SCENES.items()},
    }
    for s, (controls, units) in rig["scenes"].items():
        for what, settings in (("control", controls), ("unit", units)):
            for about, value in settings.items():
                entry = {"kind": "scene_entry", "scene": s, "what": what, what: about}
                parts[f"{s}/{about}"] = {**entry, "value": value}
    for control, value in rig["own"].items():
        # A setting of a control says nothing of its kind: it is the default.
        fields = {"kind": "song_setting", "song": "song", "control": control, "value": value}
        parts[f"own/{control}"] = fields
    for s in rig["begins"]:
        fields = {"kind": "song_setting", "song": "song", "what": "scene", "unit": SCENES[s]}
        parts[f"begins/{s}"] = {**fields, "scene": s}
    return parts


def recalled(rig: dict[str, Any], later: list[str]) -> list[str]:
    """The scenes that stand at last, in the order in which each was recalled last."""
    calls = [s for s in [*sorted(rig["begins"]), *later] if s in SCENES]
    last = {SCENES[s]: n for n, s in enumerate(calls)}
    return [calls[n] for n in sorted(last.values())]


@given(rig=rigs, later=pressed)
def test_documented_then_scenes_then_the_songs_own(rig: dict[str, Any], later: list[str]) -> None:
    stands = played(snapshot(rig), "song", later)
    standing = recalled(rig, later)
    assert sorted(stands.scenes.values()) == sorted(standing)
    for control in CONTROLS:
        spoken = [s for s in standing if control in rig["scenes"][s][0]]
        in_scene = rig["scenes"][spoken[-1]][0][control] if spoken else ""
        found = stands.controls[control]
        assert (found.scene, found.in_scene) == (spoken[-1] if spoken else "", in_scene)
        if control in rig["own"]:
            assert (found.value, found.layer) == (rig["own"][control], Layer.SONG)
            assert found.overrules == (bool(spoken) and in_scene != found.value)
        elif spoken:
            assert (found.value, found.layer) == (in_scene, Layer.SCENE)
        else:
            documented = rig["documented"].get(control, "")
            assert (found.value, found.layer) == (documented, Layer.DOCUMENTED)
    for unit in UNITS:
        spoken = [s for s in standing if unit in rig["scenes"][s][1]]
        value = stands.units[unit].value if unit in stands.units else None
        assert value == (rig["scenes"][spoken[-1]][1][unit] if spoken else None)
    assert stands.bypassed == {u for u, s in stands.units.items() if s.value == "bypassed"}


@given(rig=rigs)
def test_outside_of_songs_and_scenes_all_is_documented(rig: dict[str, Any]) -> None:
    stands = played(snapshot(rig))
    assert not stands.units
    assert not stands.scenes
    settings = {c: rig["documented"].get(c, "") for c in CONTROLS}
    assert {c: s.value for c, s in stands.controls.items()} == settings
    assert {s.layer for s in stands.controls.values()} == {Layer.DOCUMENTED}


@given(rig=rigs, scene=st.sampled_from(list(SCENES)))
def test_a_second_press_changes_nothing(rig: dict[str, Any], scene: str) -> None:
    once, twice = (played(snapshot(rig), "song", [scene] * times) for times in (1, 2))
    assert once == twice
