"""A bench from a snapshot of a rig (today's or any earlier one) and what lies outside it. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import isfinite

from rigs.changes.edits import Snapshot, Value
from rigs.checks.bench import Bench, BenchDevice, BenchInput, BenchLink, BenchUnit
from rigs.checks.between_songs import ASSUMED, ChangeSeconds, Piece
from rigs.checks.laid_messages import messages_of
from rigs.checks.laid_scenes import overruled_in, scenes_of
from rigs.checks.paths import LONGEST_MS
from rigs.checks.points import point
from rigs.facts import FACTS
from rigs.gear import gear_of, in_english
from rigs.gear.gauges import parse_gauges
from rigs.picked_up import PickedUp, picked_up
from rigs.places import Measurement

Fields = Mapping[str, Value]
# The range of the formula of the speed of sound (rigs.signal.air).
_COLDEST, _HOTTEST = -20.0, 50.0
_FURTHEST = 100.0  # metres


def build(
    rig: str,
    snapshot: Snapshot,
    devices: Mapping[str, BenchDevice],
    celsius: float | None = None,
    songs: Iterable[Piece] = (),
    times: ChangeSeconds = ASSUMED,
    measured: tuple[Measurement, ...] = (),
    *,
    heard_elsewhere: bool = False,
    running: Iterable[Piece] | None = None,
) -> Bench:
    """Lay out a rig for the rules, from a snapshot and what lies outside of it.

    `devices` are by id, `songs` are all songs in order, `running` those of the next show's set in
    its order (None without a show), `celsius` the air in °C. A temperature that
    the formulas do not cover counts as not measured. Parts that point at something the snapshot
    lacks are laid out without it.
    """
    units = _units(snapshot)
    # Snapshots may be years old or come from an archive: values outside what a form takes today are
    # laid out as not stated, rather than stopping every rule.
    if celsius is not None and not _COLDEST <= celsius <= _HOTTEST:
        celsius = None
    heard = picked_up(snapshot)
    inputs = [_input(i, f, heard[i], units, devices) for i, f in _of(snapshot, "input")]
    links = [_link(i, f) for i, f in _of(snapshot, "link")]
    whole = tuple(x for x in links if x.source in units and x.target in units)
    songs = tuple(songs)
    scenes = scenes_of(_of(snapshot, "scene"), snapshot)
    return Bench(
        rig,
        units,
        whole,
        tuple(inputs),
        celsius,
        tuple(_played(snapshot, songs)),
        times,
        measured,
        tuple(scenes),
        tuple(overruled_in(snapshot, songs)) if scenes else (),
        heard_elsewhere,
        tuple(messages_of(snapshot, {song.id: song.title for song in songs})),
        None if running is None else tuple(_played(snapshot, running)),
    )


def _played(snapshot: Snapshot, songs: Iterable[Piece]) -> list[Piece]:
    """The set as the rig plays it; empty where no song changes the instrument or a tuning."""
    held: dict[str, str] = {}
    tunings: dict[str, dict[str, str]] = defaultdict(dict)
    for _, fields in _of(snapshot, "song_setting"):
        song, unit = text(fields, "song"), text(fields, "unit")
        if fields.get("what") == "instrument":
            held[song] = unit
        elif fields.get("what") == "tuning":
            tunings[song][unit] = text(fields, "value")
    if not held and not tunings:
        return []
    return [
        replace(song, instrument=held.get(song.id, ""), tunings=tunings[song.id]) for song in songs
    ]


def _of(snapshot: Snapshot, kind: str) -> list[tuple[str, Fields]]:
    parts = [(part, fields) for part, fields in snapshot.items() if fields.get("kind") == kind]
    return sorted(
        parts,
        # Down to the id, so that the same snapshot always gives the same findings in the same
        # order.
        key=lambda item: (number(item[1].get("position")) or 0, text(item[1], "name"), item[0]),
    )


def _units(snapshot: Snapshot) -> dict[str, BenchUnit]:
    facts: dict[str, dict[str, float]] = defaultdict(dict)
    controls: dict[str, list[tuple[str, Fields]]] = defaultdict(list)
    for _, fields in _of(snapshot, "fact"):
        key, value = text(fields, "key"), number(fields.get("value"))
        if value is not None and _can_be(key, value):
            facts[text(fields, "unit")][key] = value
    for part, fields in _of(snapshot, "control"):
        controls[text(fields, "unit")].append((part, fields))
    sets = {
        text(f, "unit"): text(f, "gauges")
        # Reversed, so that of several sets on one unit the first one in its order stays in the
        # dict.
        for _, f in reversed(_of(snapshot, "spare"))
        if f.get("sort") == "string_set" and f.get("gauges")
    }
    return {
        i: _unit(i, f, facts[i], controls[i], _gauges(sets.get(i, "")))
        for i, f in _of(snapshot, "unit")
    }


def _gauges(written: str) -> tuple[tuple[float, bool], ...]:
    """The gauges low to high, whichever way round they are written: the thickest is the lowest."""
    try:
        strings = parse_gauges(written).strings if written else ()
    except ValueError:  # a set of another time
        return ()
    gauges = tuple((float(string.metres), string.wound) for string in strings)
    return gauges[::-1] if gauges and gauges[0][0] < gauges[-1][0] else gauges


def _unit(
    part: str,
    fields: Fields,
    facts: Mapping[str, float],
    controls: list[tuple[str, Fields]],
    gauges: tuple[tuple[float, bool], ...],
) -> BenchUnit:
    gear = gear_of(text(fields, "gear"))
    # Rules know usual controls by the names that they have here, whoever took them over.
    told = [(*in_english(gear, text(f, "name"), text(f, "setting")), i, f) for i, f in controls]
    return BenchUnit(
        part,
        text(fields, "name"),
        text(fields, "gear") or "other",
        text(fields, "tuning"),
        facts,
        {name: setting for name, setting, _, _ in told},
        {name: text(f, "symbol") for name, _, _, f in told if f.get("style") == "value"},
        {name: i for name, _, i, _ in told},
        gauges,
        text(fields, "machine"),
        text(fields, "session"),
    )


def _can_be(key: str, value: float) -> bool:
    """Whether a figure is within what a form takes; an old record may hold another one."""
    return key in FACTS and float(FACTS[key].low) <= value <= float(FACTS[key].high)


def _link(part: str, fields: Fields) -> BenchLink:
    words = " ".join(
        text(fields, name) for name in ("from_socket", "to_socket", "cable", "connectors")
    )
    return BenchLink(
        part,
        text(fields, "source"),
        text(fields, "target"),
        text(fields, "carries") or "instrument",
        between(fields.get("length_m"), 0, 500),
        words,
        text(fields, "from_socket"),
        text(fields, "to_socket"),
    )


def _input(
    part: str,
    fields: Fields,
    heard: PickedUp,
    units: Mapping[str, BenchUnit],
    devices: Mapping[str, BenchDevice],
) -> BenchInput:
    reference = " ".join(text(fields, "reference_point").casefold().split())
    unit = units.get(text(fields, "unit"))
    names = {each.id: each.name for each in units.values()}
    delay = between(fields.get("delay_ms"), 0, LONGEST_MS)
    return BenchInput(
        id=part,
        name=text(fields, "name"),
        unit=unit,
        device=devices.get(text(fields, "device")),
        reference=reference,
        point=point(reference, unit.id if unit else "", names),
        distance=between(fields.get("distance_m"), 0, _FURTHEST),
        distance_unit=text(fields, "distance_unit") or "mm",
        height=between(fields.get("height_m"), -_FURTHEST, _FURTHEST),
        offset=between(fields.get("offset_m"), -_FURTHEST, _FURTHEST),
        plan=_plan(fields),
        reversed_polarity=fields.get("reversed_polarity") is True,
        phantom=fields.get("phantom") is True,
        pad=between(fields.get("pad_db"), -60, 0) or 0.0,
        pad_at=text(fields, "pad_at"),
        ground_lift=fields.get("ground_lift") is True,
        gain=between(fields.get("gain_db"), -30, 90),
        high_pass=between(fields.get("high_pass_hz"), 1, 20e3),
        low_pass=between(fields.get("low_pass_hz"), 20, 40e3),
        # Milliseconds on the desk and in the field, seconds on the bench.
        delay=None if delay is None else delay / 1000,
        notes=text(fields, "notes"),
        line=text(fields, "stage_position"),
        also=tuple(units[i] for i in heard.units if i in units and units[i] is not unit),
        other_rigs=len(heard.players),
        carries=text(fields, "carries"),
        monitors_only=fields.get("monitors_only") is True,
    )


def _plan(fields: Fields) -> tuple[float, float] | None:
    both = ("plan_right_m", "plan_front_m")
    right, front = (between(fields.get(name), -_FURTHEST, _FURTHEST) for name in both)
    return None if right is None or front is None else (right, front)


def text(fields: Fields, name: str) -> str:
    value = fields.get(name)
    return value if isinstance(value, str) else ""


def number(value: object) -> float | None:
    """A finite number, or None for what is not one."""
    # float(True) is 1.0, and a box that is ticked is no figure.
    if value is None or isinstance(value, bool):
        return None
    try:
        parsed = float(str(value))
    except ValueError:
        return None
    return parsed if isfinite(parsed) else None


def between(value: object, low: float, high: float) -> float | None:
    """A number that a form would take (rigs.models.inputs), or None."""
    parsed = number(value)
    return parsed if parsed is not None and low <= parsed <= high else None
