"""What songs change, in words for a page: each difference beside the usual setting. No queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from rigs.changes.edits import Snapshot, Value
from rigs.models import SongSetting
from rigs.settings_of_controls import angle_of
from rigs.wording import fields
from rigs.wording.changes import NOT_USED
from rigs.wording.names import SECTION, SONG, Names
from rigs.wording.unit_views import ControlView, UnitView
from rigs.wording.views import DifferenceView, SongView

Fields = Mapping[str, Value]
What = SongSetting.What
_ORDER = [What.INSTRUMENT, What.TUNING, What.CONTROL, What.INPUT, What.CUE]


def songs_of(
    settings: Sequence[tuple[str, Fields]],
    snapshot: Snapshot,
    names: Names,
    units: Iterable[UnitView],
) -> tuple[SongView, ...]:
    """The songs that `settings` speak of, in the order of the set; `units` in the rig's order."""
    shown = {unit.id: unit for unit in units}
    by_song: dict[str, list[DifferenceView]] = defaultdict(list)
    for part, known in settings:
        by_song[str(known.get(SONG))].append(_difference(part, known, snapshot, names, shown))
    rank = {part: place for place, part in enumerate(_in_order(shown.values()))}
    songs = [
        SongView(
            song,
            str(names.parts.get(song, {}).get("name") or "a song that is not on file"),
            int(names.parts.get(song, {}).get("position") or 0),
            tuple(sorted(differences, key=lambda each: _place(each, rank))),
        )
        for song, differences in by_song.items()
    ]
    return tuple(sorted(songs, key=lambda song: (song.position, song.title, song.id)))


def _in_order(units: Iterable[UnitView]) -> Iterable[str]:
    for unit in units:
        yield unit.id
        yield from (control.id for control in unit.controls)


def _place(each: DifferenceView, rank: Mapping[str, int]) -> tuple[object, ...]:
    # Cues in the order in which they come; those without a time after the others.
    at = 10**9 if each.at_s is None else each.at_s
    return (_ORDER.index(What(each.what)), rank.get(each.about, 0), at, each.name, each.id)


def _difference(
    part: str, known: Fields, snapshot: Snapshot, names: Names, units: Mapping[str, UnitView]
) -> DifferenceView:
    what = str(known.get("what") or What.CONTROL)
    about = str(known.get(SongSetting.ABOUT.get(what, "")) or "")
    text, at = str(known.get("value", "")), known.get("at_s")
    section = str(known.get(SECTION) or "")
    view = DifferenceView(
        part,
        what,
        about,
        names.of(about) if about else "cue",
        about,
        "",
        text,
        section=names.of(section) if section else "",
        at_s=None if at is None else int(at),
    )
    if what == What.CONTROL:
        return _of_control(view, snapshot, names, units)
    if what == What.TUNING:
        return replace(view, unit_name=view.name, usual=str(_of(snapshot, about, "tuning")))
    if what == What.INSTRUMENT:
        return replace(view, unit_name=view.name, text=view.name)
    if what == What.INPUT:
        return replace(view, text=NOT_USED, unit="")
    return view


def _of(snapshot: Snapshot, part: str, field: str) -> Value:
    return snapshot.get(part, {}).get(field, "")


def _of_control(
    view: DifferenceView, snapshot: Snapshot, names: Names, units: Mapping[str, UnitView]
) -> DifferenceView:
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
        text=_text(usual, setting),
        changed=True,
        was=before.setting,
        was_text=before.text,
        angle=angle(usual, setting),
        was_angle=before.angle,
    )


def _text(control: ControlView, setting: str) -> str:
    return fields.setting(setting, {"style": control.style, "symbol": control.symbol})


def angle(control: ControlView, setting: str) -> float | None:
    """Where the pointer stands; None for a setting that the control has no place for."""
    try:
        return angle_of(control.style, setting, control.low, control.high)
    except ValueError:  # the control was made another one since
        return None
