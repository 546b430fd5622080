"""What songs change, in words for a page: each difference beside the usual setting. No queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from core.languages.words import leading
from rigs.changes.edits import Snapshot, Value
from rigs.changes.played import Played, played
from rigs.midi import message_text
from rigs.models import SongSetting
from rigs.settings_of_controls import angle_of
from rigs.wording import fields
from rigs.wording.changes import NOT_USED
from rigs.wording.names import SECTION, SONG, Names
from rigs.wording.unit_views import ControlView, UnitView
from rigs.wording.views import DifferenceView, SceneView, SongView

Fields = Mapping[str, Value]
What = SongSetting.What
# What happens within a song is of one rank: it is told as it comes.
_ORDER = {
    What.INSTRUMENT: 0,
    What.TUNING: 1,
    What.SCENE: 2,
    What.CONTROL: 3,
    What.INPUT: 4,
    What.SCENE_CHANGE: 5,
    What.CUE: 5,
    What.MIDI: 5,
}


def songs_of(
    settings: Sequence[tuple[str, Fields]],
    snapshot: Snapshot,
    names: Names,
    units: Iterable[UnitView],
    scenes: Iterable[SceneView],
) -> tuple[SongView, ...]:
    """The songs that `settings` speak of, in the order of the set; `units` in the rig's order."""
    shown = {unit.id: unit for unit in units}
    known_scenes = {scene.id: scene for scene in scenes}
    by_song: dict[str, list[tuple[tuple[object, ...], DifferenceView]]] = defaultdict(list)
    rank = {part: place for place, part in enumerate(in_order(shown.values()))}
    for part, known in settings:
        each = _difference(part, known, snapshot, names, shown, known_scenes)
        by_song[str(known.get(SONG))].append((_place(each, known, rank, names), each))
    songs = [
        _song(song, [each for _, each in sorted(placed, key=lambda pair: pair[0])], snapshot, names)
        for song, placed in by_song.items()
    ]
    return tuple(sorted(songs, key=lambda song: (song.position, song.title, song.id)))


def _song(
    song: str, differences: Sequence[DifferenceView], snapshot: Snapshot, names: Names
) -> SongView:
    begins = played(snapshot, song)
    changes = [
        each.scene.id for each in differences if each.what == What.SCENE_CHANGE and each.scene
    ]
    return SongView(
        song,
        str(names.parts.get(song, {}).get("name") or _("a song that is not on file")),
        int(names.parts.get(song, {}).get("position") or 0),
        tuple(_told(each, begins, names) for each in differences),
        begins,
        played(snapshot, song, changes) if changes else begins,
    )


def _told(each: DifferenceView, begins: Played, names: Names) -> DifferenceView:
    """With what a scene has where the song's own setting counts."""
    stands = begins.controls.get(each.about) if each.what == What.CONTROL else None
    if stands is None or not stands.overrules or each.control is None:
        return each
    return replace(
        each, overrules=leading(names.of(stands.scene), text_of(each.control, stands.in_scene))
    )


def in_order(units: Iterable[UnitView]) -> Iterable[str]:
    for unit in units:
        yield unit.id
        yield from (control.id for control in unit.controls)


def _place(
    each: DifferenceView, known: Fields, rank: Mapping[str, int], names: Names
) -> tuple[object, ...]:
    # Within the song as it comes; what has no time after the others, by its section.
    at = 10**9 if each.at_s is None else each.at_s
    section = int(names.parts.get(str(known.get(SECTION)), {}).get("position") or 0)
    within = What(each.what) in SongSetting.AT_A_MOMENT
    place = 0 if within else rank.get(each.about, 0)
    # Messages go out one after the other, in the order they were written.
    sent = each.what == What.MIDI
    turn = (rank.get(each.about, 0), int(known.get("position") or 0)) if sent else (0, 0)
    return (_ORDER[What(each.what)], place, at, section, each.what, turn, each.name, each.id)


def _difference(
    part: str,
    known: Fields,
    snapshot: Snapshot,
    names: Names,
    units: Mapping[str, UnitView],
    scenes: Mapping[str, SceneView],
) -> DifferenceView:
    what = str(known.get("what") or What.CONTROL)
    about = str(known.get(SongSetting.ABOUT.get(what, "")) or "")
    text, at = str(known.get("value", "")), known.get("at_s")
    section = str(known.get(SECTION) or "")
    view = DifferenceView(
        part,
        what,
        about,
        names.of(about) if about else _("cue"),
        about,
        "",
        text,
        section=names.of(section) if section else "",
        at_s=None if at is None else int(at),
    )
    if what == What.CONTROL:
        return of_control(view, snapshot, names, units)
    if what in SongSetting.OF_SCENES:
        scene = scenes.get(str(known.get("scene")))
        name = scene.label if scene else names.of(known.get("scene"))
        within = _("scene {scene} on {unit}").format(scene=name, unit=view.name)
        text = within if what == What.SCENE_CHANGE else name
        return replace(view, unit_name=view.name, text=text, scene=scene)
    if what == What.MIDI:
        text = message_text(known, snapshot.get(about, {}))
        return replace(view, unit_name=view.name, text=text)
    if what == What.TUNING:
        return replace(view, unit_name=view.name, usual=str(_of(snapshot, about, "tuning")))
    if what == What.INSTRUMENT:
        return replace(view, unit_name=view.name, text=view.name)
    if what == What.INPUT:
        return replace(view, text=_(NOT_USED), unit="")
    return view


def _of(snapshot: Snapshot, part: str, field: str) -> Value:
    return snapshot.get(part, {}).get(field, "")


def of_control(
    view: DifferenceView, snapshot: Snapshot, names: Names, units: Mapping[str, UnitView]
) -> DifferenceView:
    """What is said of a control, with the control drawn as it is set."""
    unit = str(_of(snapshot, view.about, "unit"))
    known = units[unit].controls if unit in units else ()
    usual = next((each for each in known if each.id == view.about), None)
    if usual is None:
        return replace(view, unit=unit)
    control = control_at(usual, view.text)
    return replace(
        view,
        unit=unit,
        unit_name=names.of(unit),
        text=control.text,
        usual=usual.text,
        control=control,
    )


def control_at(usual: ControlView, setting: str, was: ControlView | None = None) -> ControlView:
    """The control turned to `setting`, drawn against where it was before: as usual, or `was`."""
    before = was or usual
    return replace(
        usual,
        setting=setting,
        text=text_of(usual, setting),
        changed=True,
        was=before.setting,
        was_text=before.text,
        angle=angle(usual, setting),
        was_angle=before.angle,
    )


def text_of(control: ControlView, setting: str) -> str:
    """A setting of the control in words, with its unit."""
    return fields.setting(setting, {"style": control.style, "symbol": control.symbol})


def angle(control: ControlView, setting: str) -> float | None:
    """Where the pointer stands; None for a setting that the control has no place for."""
    try:
        return angle_of(control.style, setting, control.low, control.high)
    except ValueError:  # the control was made another one since
        return None
