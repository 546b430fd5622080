"""Tonight beside what is documented: the units that differ at a show, for pages, paper and API."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from django.utils.translation import gettext as _

from core.languages.dates import short_day
from core.languages.words import each_of, leading
from core.models import Show
from rigs.changes.edits import Snapshot
from rigs.gear import gear_of
from rigs.midi import message_text
from rigs.models import Rig, SongSetting, UnitAtShow
from rigs.places import UnitTonight as InLine
from rigs.radio import on_air
from rigs.revisions.many import newest, states_of
from rigs.tonight.layers import counting, laid, lost, messages_to, numbers_of, strings_of
from rigs.tonight.records import Lasts, by_rig, layer_of, rows_at
from rigs.wording import RigView, UnitView, fields, snapshot_view
from rigs.wording.build import set_views, snapshot_views

# What a layer can speak of.
_FIELDS = ("tuning", "stage_position", "session", "midi_channel")


class Differing(NamedTuple):
    """One thing that is other tonight; either may be empty."""

    label: str
    tonight: str
    documented: str
    is_unit: bool = False


@dataclass(frozen=True, slots=True)
class UnitTonight:
    """A unit that differs at a show: `unit` as it is then, with what is documented beside."""

    rig: Rig
    unit: UnitView
    rows: tuple[UnitAtShow, ...]  # what says so, the lowest layer first
    differs: tuple[Differing, ...] = ()
    documented_controls: str = ""  # of a unit that is another one tonight
    cannot_be_set: tuple[str, ...] = ()  # what songs and scenes say of controls it has not

    @property
    def row(self) -> UnitAtShow:
        """The layer that counts most."""
        return self.rows[-1]

    @property
    def substitute(self) -> UnitAtShow | None:
        """What says that it is another unit."""
        return next((r for r in reversed(self.rows) if r.what == UnitAtShow.What.REPLACED), None)

    @property
    def of_leg(self) -> bool:
        """Whether some of it holds at other shows of the leg, too."""
        return any(row.lasts == Lasts.LEG for row in self.rows)

    @property
    def layer(self) -> str:
        """“this show only”, “from 4 Sep to the end of the leg”, or both."""
        return _(", and ").join(dict.fromkeys(layer_words(row) for row in self.rows))

    @property
    def line(self) -> str:
        """All of it in a line: “Bass head: Brack Four (Kestrel Hire), Drive 1:00”."""
        return leading(self.unit.name, self.short)

    @property
    def short(self) -> str:
        sub = self.substitute
        told = []
        if sub is not None:
            told.append(_whence(sub))
            told += [f"{c.name} {c.text}" for c in self.unit.controls if c.setting]
        not_set = _("not set")
        told += [f"{d.label} {d.tonight or not_set}" for d in self.differs if not d.is_unit]
        return each_of(told)


def layer_words(row: UnitAtShow) -> str:
    if row.lasts == Lasts.SHOW:
        return _("this show only")
    return _("from {day} to the end of the leg").format(day=short_day(row.show.held_on))


def _whence(row: UnitAtShow) -> str:
    if not row.from_whom:
        return row.make
    return _("{make} from {whom}").format(make=row.make, whom=row.from_whom)


@dataclass(frozen=True, slots=True)
class RigTonight:
    """A rig as it is at a show; `units` are those that differ, by their id."""

    rig: Rig
    view: RigView
    state: Snapshot
    documented: Snapshot
    units: Mapping[str, UnitTonight]


def rig_at(show: Show, rig: Rig) -> RigTonight:
    """The whole rig as it is at `show`, with what differs. At most nine queries."""
    rows, documented = rows_at(show, [rig]), newest(rig)
    state = laid(documented, by_rig(rows).get(rig.pk, []))
    view = snapshot_view(rig, state, before=documented)
    units = _units(rig, view, rows, documented, state, _titles(rows))
    return RigTonight(rig, view, state, documented, {each.unit.id: each for each in units})


def rigs_at(show: Show, rigs: Iterable[Rig]) -> dict[Rig, RigTonight]:
    """Several rigs as they are at `show`, in as many queries as one."""
    chosen = list(rigs)
    rows = rows_at(show, chosen)
    read = states_of((rig, rig.head_number) for rig in chosen)
    layers, documented = by_rig(rows), {rig: read[rig.pk, rig.head_number] for rig in chosen}
    states = {rig: laid(state, layers.get(rig.pk, [])) for rig, state in documented.items()}
    views, titles = snapshot_views(states, documented), _titles(rows)
    found = {}
    for rig, view in views.items():
        units = _units(rig, view, rows, documented[rig], states[rig], titles)
        by_id = {each.unit.id: each for each in units}
        found[rig] = RigTonight(rig, view, states[rig], documented[rig], by_id)
    return found


def units_at(show: Show, rigs: Iterable[Rig] | None = None) -> list[UnitTonight]:
    """The units that differ at `show`, by player and in the order of their rigs.

    One query where there are none, else at most eight, however many.
    """
    rows = rows_at(show, rigs)
    found = {row.unit.rig_id: row.unit.rig for row in rows}
    states = states_of((rig, rig.head_number) for rig in found.values())
    return units_in(rows, {rig: states[pk, rig.head_number] for pk, rig in found.items()})


def units_in(rows: list[UnitAtShow], states: Mapping[Rig, Snapshot]) -> list[UnitTonight]:
    """Like `units_at`, of what is read already: the rows of a show, and rigs as documented."""
    layers = by_rig(rows)
    concerned = {rig: state for rig, state in states.items() if rig.pk in layers}
    tonight = {rig: laid(state, layers[rig.pk]) for rig, state in concerned.items()}
    views, titles = set_views(tonight, concerned), _titles(rows)
    made = [
        each
        for rig, view in views.items()
        for each in _units(rig, view, rows, concerned[rig], tonight[rig], titles)
    ]
    place = {(u.id): at for view in views.values() for at, u in enumerate(view.units)}
    return sorted(
        made,
        key=lambda e: (e.rig.player.position, e.rig.player.name, e.rig.name, place[e.unit.id]),
    )


def _titles(rows: Iterable[UnitAtShow]) -> dict[str, str]:
    """The songs whose MIDI messages are other, by id. One query where there are any."""
    messages = [part for row in rows for part in row.messages]
    if not messages:
        return {}
    songs = SongSetting.objects.filter(pk__in=messages)
    return {str(pk): title for pk, title in songs.values_list("song_id", "song__title")}


def by_unit(units: Iterable[UnitTonight]) -> dict[UUID, UnitTonight]:
    return {UUID(each.unit.id): each for each in units}


def in_lines(units: Iterable[UnitTonight]) -> dict[UUID, InLine]:
    """What differs of each unit for the lists of a show, by its id."""
    return {unit: _in_line(each) for unit, each in by_unit(units).items()}


def _in_line(each: UnitTonight) -> InLine:
    radio = on_air((c.name, c.symbol, c.setting) for c in each.unit.controls)
    said = InLine(each.line, each.unit.name, each.rig.pk, radio)
    came = each.substitute
    if came is None:
        return said
    return said._replace(came=came.make, kind=each.unit.gear_label, from_whom=came.from_whom)


def _units(
    rig: Rig,
    view: RigView,
    rows: Iterable[UnitAtShow],
    documented: Snapshot,
    state: Snapshot,
    songs: Mapping[str, str],
) -> Iterable[UnitTonight]:
    own = {str(row.pk): row for row in rows if row.unit.rig_id == rig.pk}
    kept = [own[layer.id] for layer in counting(layer_of(row) for row in own.values())]
    missing = lost(documented, state)
    for unit in view.units:
        said = tuple(row for row in kept if str(row.unit_id) == unit.id)
        if said:
            yield _unit(rig, unit, said, documented, state, missing, songs)


def _unit(
    rig: Rig,
    unit: UnitView,
    rows: tuple[UnitAtShow, ...],
    documented: Snapshot,
    state: Snapshot,
    missing: Iterable[tuple[str, str]],
    songs: Mapping[str, str],
) -> UnitTonight:
    replaced = any(row.what == UnitAtShow.What.REPLACED for row in rows)
    names = [documented[c] for _, c in missing if documented[c].get("unit") == unit.id]
    return UnitTonight(
        rig,
        unit,
        rows,
        (
            *_differing(unit, documented, state, replaced=replaced),
            *_messages(unit.id, documented, state, songs),
        ),
        _controls_of(documented, unit.id) if replaced else "",
        tuple(dict.fromkeys(str(known.get("name")) for known in names)),
    )


def _differing(
    unit: UnitView, documented: Snapshot, state: Snapshot, *, replaced: bool
) -> Iterable[Differing]:
    was, now = documented[unit.id], state[unit.id]
    if replaced:
        yield Differing(_("Unit"), _make(now), _make(was), is_unit=True)
    for name in _FIELDS:
        if was.get(name, "") != now.get(name, ""):
            yield Differing(
                fields.label("unit", name), str(now.get(name, "")), str(was.get(name, ""))
            )
    there, then = _gauges(documented, unit.id), _gauges(state, unit.id)
    if then != there and then:
        yield Differing(_("Strings"), then, there)
    for control in unit.changed_controls if not replaced else ():
        yield Differing(control.name, control.text, control.was_text)


def _messages(
    unit: str, documented: Snapshot, state: Snapshot, songs: Mapping[str, str]
) -> Iterable[Differing]:
    """The MIDI messages to a unit that are other, or are not sent."""
    now = messages_to(state, unit)
    for part, was in messages_to(documented, unit).items():
        if numbers_of(was) != numbers_of(now.get(part, {})):
            song = songs.get(str(was.get("song")), _("a song"))
            told = message_text(now[part], state[unit]) if part in now else _("not sent")
            documented_text = message_text(was, documented[unit])
            yield Differing(_("MIDI in “{song}”").format(song=song), told, documented_text)


def _make(known: Mapping[str, object]) -> str:
    make = f"{known.get('maker', '')} {known.get('model', '')}".strip()
    return make or gear_of(str(known.get("gear", ""))).words


def _gauges(state: Snapshot, unit: str) -> str:
    part = strings_of(state, unit)
    return str(state[part].get("gauges", "")) if part else ""


def _controls_of(state: Snapshot, unit: str) -> str:
    """The controls of a unit in a line: “Gain 2:30, Bass 11:00”."""
    own = [k for k in state.values() if k["kind"] == "control" and k.get("unit") == unit]
    own.sort(key=lambda known: (int(known.get("position") or 0), str(known.get("name"))))
    not_set = _("not set")
    return each_of(
        f"{known.get('name')} {fields.setting(known.get('setting'), known) or not_set}"
        for known in own
    )
