"""All dials of a unit on another scale: the setting of each there, and the edits for that.

Settings of songs and scenes for a dial change with it, so that they keep their meaning. The rules
are those of rigs.dial_scales; nothing here writes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.edits import Edit, Set
from rigs.dial_scales import DIALS, Keep, Scale, changed_scale
from rigs.editing.dials import drawn
from rigs.editing.ordering import in_order
from rigs.models import Control, SceneEntry, SongSetting, Unit
from rigs.settings_of_controls import Style, tidy_setting
from rigs.wording import ControlView


@dataclass(frozen=True, slots=True)
class Then:
    """How a dial stands on the new scale; `problem` where it cannot."""

    setting: str
    control: ControlView
    problem: str = ""


@dataclass(frozen=True, slots=True)
class ScaleRow:
    """A dial of the unit, or what a song or scene says of it: now, and on the new scale either way.

    `said_in` is that song or scene in words; empty for the dial itself.
    """

    part: str
    kind: str  # control, song_setting or scene_entry
    name: str
    said_in: str
    now: ControlView
    then: Mapping[Keep, Then] = field(default_factory=dict)

    @property
    def label(self) -> str:
        if not self.said_in:
            return self.name
        return _("{control} in {place}").format(control=self.name, place=self.said_in)

    @property
    def is_doubtful(self) -> bool:
        """Whether its setting cannot be kept in at least one of the two ways."""
        return any(then.problem for then in self.then.values())

    @property
    def ways(self) -> tuple[Then, Then]:
        """With the pointer kept, and with the figure kept."""
        return self.then[Keep.POINTER], self.then[Keep.FIGURE]


def dials_of(unit: Unit) -> list[Control]:
    """The dials in use of a unit, in order. One query."""
    return in_order(Control.objects.live().filter(unit=unit, style__in=DIALS))


def scale_of(control: Control) -> Scale:
    return Scale(control.style, control.low, control.high)


def rows_of(dials: Sequence[Control], new: Scale) -> list[ScaleRow]:
    """Each dial, then the scenes and songs that turn it, as they are and on the scale `new`.

    Two queries.
    """
    said: dict[object, list[tuple[SceneEntry | SongSetting, str]]] = defaultdict(list)
    scenes = SceneEntry.objects.live().filter(control__in=dials).select_related("scene")
    for in_scene in scenes.order_by("scene__position", "pk"):
        said[in_scene.control_id].append(
            (in_scene, _("scene “{name}”").format(name=in_scene.scene))
        )
    songs = SongSetting.objects.live().filter(control__in=dials).exclude(value="")
    for in_song in songs.select_related("song").order_by("song__position", "pk"):
        said[in_song.control_id].append((in_song, f"“{in_song.song}”"))
    rows = []
    for dial in dials:
        rows.append(_row(dial, new, str(dial.pk), "control", dial.setting))
        rows += [
            _row(dial, new, str(each.pk), each.KIND, each.value, place)
            for each, place in said[dial.pk]
        ]
    return rows


def _row(
    dial: Control, new: Scale, part: str, kind: str, setting: str, place: str = ""
) -> ScaleRow:
    old = scale_of(dial)
    then = {keep: _then(dial.name, setting, old, new, keep) for keep in Keep}
    return ScaleRow(part, kind, dial.name, place, drawn(dial.name, setting, old), then)


def _then(name: str, setting: str, old: Scale, new: Scale, keep: Keep) -> Then:
    try:
        kept, problem = changed_scale(setting, old, new, keep), ""
    except ValueError as error:
        kept, problem = "", str(error)
    return Then(kept, drawn(name, kept, new), problem)


UNSAID = gettext_lazy("Write how it stands on the new scale.")


def setting_of(row: ScaleRow, new: Scale, keep: Keep, said: str = "") -> str:
    """How `row` stands on the new scale; where it cannot stay, as somebody `said`.

    Raises ValueError, in words for a form, where nobody said, or it cannot stand so.
    """
    then = row.then[keep]
    if not then.problem:
        return then.setting
    if not said:
        raise ValueError(UNSAID)
    tidy_setting(Style(new.style), said, new.low, new.high, "")
    return said


def edits_of(rows: Iterable[ScaleRow], new: Scale, settings: Mapping[str, str]) -> list[Edit]:
    """The edits of the whole unit; `settings` says how each row stands on the new scale."""
    scale = {"style": str(new.style), "low": new.low, "high": new.high}
    return [
        Set(row.part, row.kind, {"value": settings[row.part]})
        if row.said_in
        else Set(row.part, row.kind, {**scale, "setting": settings[row.part]})
        for row in rows
    ]
