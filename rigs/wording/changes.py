"""Changes as plain words: “Head, Gain: 2:30 → 3:00”."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db.models import prefetch_related_objects
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from core.languages.marked import gettext_noop
from core.languages.words import each_of, leading, retold
from rigs.changes.diff import diff
from rigs.changes.edits import WHOLE, Change, Snapshot, Value
from rigs.fields import find, length_with_unit, placement_of, rows_of
from rigs.midi import message_text, program_text
from rigs.models import (
    PARTS,
    ChangeRow,
    Member,
    Revision,
    Rig,
    SceneEntry,
    SongSetting,
    Source,
)
from rigs.revisions.references import PART_POINTERS
from rigs.wording import fields
from rigs.wording.names import PLAYER, SECTION, SONG, Names, names_for, names_in
from rigs.wording.placement import placement_words
from rigs.wording.quantities import value_data

NOTHING = gettext_noop("nothing")
SHORT = 80  # a sentence shortens longer texts; old_text and new_text are whole
ADDED, RETIRED, MOVED, CHANGED = "added", "retired", "moved", "changed"
_HAPPENED = {
    ADDED: pgettext_lazy("what happened to a part", "added"),
    RETIRED: pgettext_lazy("what happened to a part", "retired"),
    MOVED: pgettext_lazy("what happened to a part", "moved"),
    CHANGED: pgettext_lazy("what happened to a part", "changed"),
}


class _Event(NamedTuple):
    """What happened to a part: below its name, and with the name in the sentence."""

    alone: str
    named: str

    def said(self, name: str) -> str:
        return _(self.named).format(name=name) if name else _(self.alone)


_WAS_ADDED = _Event(gettext_noop("was added"), gettext_noop("{name} was added"))
_WAS_RETIRED = _Event(gettext_noop("was retired"), gettext_noop("{name} was retired"))
_WAS_MOVED = _Event(
    gettext_noop("was moved in the order"), gettext_noop("{name} was moved in the order")
)
_CAME = {
    "rig": _Event(gettext_noop("was put on file"), gettext_noop("{name} was put on file")),
    "link": _Event(gettext_noop("was connected"), gettext_noop("{name} was connected")),
}
_WENT = {"link": _Event(gettext_noop("was taken out"), gettext_noop("{name} was taken out"))}
# What joins or leaves an input or a group, told of that: “Overhead left: also picks up Rack tom”.
_JOINS = {
    Source.KIND: gettext_noop("also picks up {name}"),
    Member.KIND: gettext_noop("now has {name}"),
}
_LEAVES = {
    Source.KIND: gettext_noop("no longer picks up {name}"),
    Member.KIND: gettext_noop("no longer has {name}"),
}
_EVENTS = (_WAS_ADDED, _WAS_RETIRED, _WAS_MOVED, *_CAME.values(), *_WENT.values())
_KINDS = [*PARTS, SONG]
# What a song is compared with: where it states nothing, the rig stands as it usually does.
AS_USUAL, NOT_USED = gettext_noop("as usual"), gettext_noop("not used")
_OF_CORE = {(SongSetting.KIND, SONG), (SongSetting.KIND, SECTION), (Source.KIND, PLAYER)}
# Parts that say how something differs from what is documented, and the fields that say it.
_LAYERED = (SongSetting.KIND, SceneEntry.KIND)
_SAID = (WHOLE, "value", "unit", "scene")


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One thing that a change did, ready to be shown.

    `part_name` is the unit, input or cable it happened to; a control's setting has the control's
    name as `field_label` and its unit's name here. `what` is added, retired, moved or changed.
    Empty texts mean that nothing was set. `old_data` and `new_data` are the two where they are
    quantities (rigs.wording.quantities). `revision` is a primary key, None between two states.
    """

    part_name: str
    kind: str
    field_label: str
    old_text: str
    new_text: str
    sentence: str
    short: str  # the sentence without the part's name, for a list below it
    what: str
    part: str
    owner: str  # the id that lines are grouped by: a control's unit, or the part itself
    field: str
    revision: int | None = None
    old_data: dict[str, Any] | None = None
    new_data: dict[str, Any] | None = None

    @property
    def happened(self) -> str:
        """`what` in the language of the reader."""
        return str(_HAPPENED[self.what])


@dataclass(frozen=True, slots=True)
class ChangeGroup:
    """The lines of one unit, input or cable."""

    name: str
    kind: str
    lines: Sequence[ChangeLine]


def describe(rigs: Rig | Iterable[Rig], rows: Iterable[ChangeRow | Change]) -> list[ChangeLine]:
    """Rows of the history of `rigs` (or bare changes of one rig as it is now) in words.

    Revisions in the order given, the lines of each in the order of the rig. A length and its unit
    that change together make one line, so there may be fewer lines than rows. At most eight
    queries beyond that of `rows`.
    """
    rows = list(rows)
    if not rows:
        return []
    changes = [row.as_change() if isinstance(row, ChangeRow) else row for row in rows]
    made = [row.revision_id if isinstance(row, ChangeRow) else None for row in rows]
    of_history = any(revision is not None for revision in made)
    known = names_for([rigs] if isinstance(rigs, Rig) else rigs, changes, steps=of_history)
    turn = {revision: place for place, revision in enumerate(dict.fromkeys(made))}
    pairs = sorted(
        zip(changes, made, strict=True), key=lambda pair: (turn[pair[1]], *_place(known, pair[0]))
    )
    return _lines(known, pairs)


def describe_many(revisions: Iterable[Revision]) -> dict[int, list[ChangeLine]]:
    """The lines of each revision, by its primary key. Fetches rigs and changes if need be."""
    made = list(revisions)
    prefetch_related_objects(made, "rig", "changes")
    rigs = {revision.rig_id: revision.rig for revision in made}
    lines: dict[int, list[ChangeLine]] = {revision.pk: [] for revision in made}
    for line in describe(rigs.values(), (r for made_one in made for r in made_one.changes.all())):
        assert line.revision is not None  # noqa: S101 - rows of the history have one
        lines[line.revision].append(line)
    return lines


def describe_between(rig: Rig, before: Snapshot, after: Snapshot) -> list[ChangeLine]:
    """What would have to change to make `before` into `after`, in the order of the rig. 1 query."""
    names = names_in(rig, before, after)
    changes = sorted(diff(before, after), key=lambda change: _place(names, change))
    return _lines(names, [(change, None) for change in changes], before, after)


def _place(names: Names, change: Change) -> tuple[object, ...]:
    """Where a line stands: the rig first, then units with what is theirs, cables, inputs."""
    owner = names.owner(change.part)
    whole = names.parts.get(owner, {"kind": change.kind})
    return (
        _KINDS.index(str(whole["kind"])),
        *_order(whole),
        owner,
        change.part != owner,
        _KINDS.index(change.kind),
        *_order(names.parts.get(change.part, {})),
        change.part,
        fields.rank(change.kind, change.field),
    )


def _order(known: Mapping[str, Value]) -> tuple[int, int, str]:
    return (
        int(known.get("position") or 0),
        int(known.get("number") or 0),
        str(known.get("name", "")),
    )


def grouped(lines: Iterable[ChangeLine]) -> list[ChangeGroup]:
    """Lines together by the unit, input or cable they are about, in order of first mention."""
    by_owner: dict[str, list[ChangeLine]] = defaultdict(list)
    for line in lines:
        by_owner[line.owner].append(line)
    return [ChangeGroup(group[0].part_name, group[0].kind, group) for group in by_owner.values()]


def _lines(
    names: Names,
    changes: Sequence[tuple[Change, int | None]],
    before: Snapshot | None = None,
    after: Snapshot | None = None,
) -> list[ChangeLine]:
    together = {(revision, change.part, change.field): change for change, revision in changes}
    lines = []
    for change, revision in changes:
        length = length_with_unit(change.kind, change.field)
        if length and (revision, change.part, length.name) in together:
            continue  # told by the line of the length itself
        new_known = (after or {}).get(change.part) or names.units_at(change.part, revision)
        old_known = dict((before or {}).get(change.part) or new_known)
        row = find(change.kind, change.field)
        unit_field = row.unit_field if row else ""
        unit = together.get((revision, change.part, unit_field)) if unit_field else None
        if unit is not None:
            old_known[unit.field] = _single(unit.old)
            new_known = {**new_known, unit.field: _single(unit.new)}
        lines.append(_line(names, change, revision, old_known, new_known))
    return lines


def _single(value: Value | dict[str, Value]) -> Value:
    return None if isinstance(value, dict) else value


def _line(
    names: Names,
    change: Change,
    revision: int | None,
    old_known: Mapping[str, Value],
    new_known: Mapping[str, Value],
) -> ChangeLine:
    owner = names.owner(change.part)
    part_name = names.of(owner)
    told = _words(names, change, owner, old_known, new_known)
    # A part that came or went is told in one phrase, which has no quantity of its own.
    is_whole = change.field == WHOLE
    return ChangeLine(
        part_name=part_name,
        kind=change.kind,
        field_label=told.label,
        old_text=told.old,
        new_text=told.new,
        sentence=told.named or _of_part(change.kind, part_name, told.short),
        short=capfirst(told.short),
        what=told.what,
        part=change.part,
        owner=owner,
        field=change.field,
        revision=revision,
        old_data=None if is_whole else _data(change, change.old, old_known),
        new_data=None if is_whole else _data(change, change.new, new_known),
    )


def _of_part(kind: str, part: str, what: str) -> str:
    if kind in _JOINS:
        return _("{part}: {what}").format(part=part, what=what)
    return _("{part}, {what}").format(part=part, what=what)


class _Told(NamedTuple):
    """`named` is the sentence of a part that itself came, went or was moved: “Head was added”.
    Of all else it is empty, and the sentence is made of the part and what is told below its name:
    “Head, Gain: 2:30 → 3:00”."""

    label: str
    old: str
    new: str
    what: str
    short: str
    named: str = ""


def _words(
    names: Names,
    change: Change,
    owner: str,
    old_known: Mapping[str, Value],
    new_known: Mapping[str, Value],
) -> _Told:
    own = names.of(change.part)
    inner = own if owner != change.part else ""  # of a part below the one that is named
    if change.kind in _LAYERED and change.field in _SAID:
        return _difference(names, change, own, old_known, new_known)
    if change.field == WHOLE:
        return _whole(names, change, own, inner)
    label = _label(change, own, owner)
    old = _text(names, change, change.old, old_known)
    new = _text(names, change, change.new, new_known)
    if change.field == "position":
        named = "" if inner else _WAS_MOVED.said(own)
        return _Told(label, old, new, MOVED, _WAS_MOVED.said(inner), named)
    return _Told(label, old, new, CHANGED, changed_words(label, old, new))


def _data(
    change: Change, value: Value | dict[str, Value], known: Mapping[str, Value]
) -> dict[str, Any] | None:
    return value_data(change.kind, change.field, _single(value), known)


def _difference(
    names: Names,
    change: Change,
    own: str,
    old_known: Mapping[str, Value],
    new_known: Mapping[str, Value],
) -> _Told:
    """The words for what a song or a scene sets that was added, removed or changed.

    An example is “Head, Gain: as usual → 3:00”.
    """
    at_a_moment = str(new_known.get("what")) in SongSetting.AT_A_MOMENT
    unsaid = _(NOTHING) if at_a_moment else _(AS_USUAL)
    old, new = (
        _sentence(
            names, change.kind, side if isinstance(side, dict) else {**known, change.field: side}
        )
        if side is not None
        else unsaid
        for side, known in ((change.old, old_known), (change.new, new_known))
    )
    return _Told(capfirst(own), old, new, CHANGED, changed_words(own, old, new))


def _sentence(names: Names, kind: str, known: Mapping[str, Value]) -> str:
    """What a difference says, in the fewest words."""
    what = str(known.get("what") or SongSetting.What.CONTROL)
    if what == SongSetting.What.INSTRUMENT:
        return names.of(known.get("unit"))
    if what == SongSetting.What.INPUT:
        return _(NOT_USED)
    if what in SongSetting.OF_SCENES:
        text = names.of(known.get("scene"))
    elif what == SongSetting.What.MIDI:
        text = message_text(known, names.parts.get(str(known.get("unit")), {}))
    else:
        text = value_text(names, kind, "value", known.get("value"), known)
    section = names.of(known[SECTION]) if known.get(SECTION) else ""
    at = fields.text(SongSetting.KIND, "at_s", known.get("at_s"))
    return leading(" ".join(filter(None, (section, at))), text)


def _label(change: Change, own: str, owner: str) -> str:
    if owner == change.part:
        return fields.label(change.kind, change.field)
    if change.field in ("setting", "value"):
        return own
    return _("{part}, {field}").format(part=own, field=fields.word(change.kind, change.field))


def _text(
    names: Names, change: Change, value: Value | dict[str, Value], known: Mapping[str, Value]
) -> str:
    if change.field == "position":
        return str(int(_single(value) or 0) + 1)
    return value_text(names, change.kind, change.field, _single(value), known)


def value_text(
    names: Names, kind: str, field: str, value: Value, known: Mapping[str, Value]
) -> str:
    """Like fields.text, for fields that point at parts and devices, too."""
    if field == "device":
        return names.device(value) if value else ""
    if field in PART_POINTERS.get(kind, ()):
        if not value:
            return _("the whole rig") if (kind, field) == ("photo", "about") else ""
        return names.in_full(value)
    if field == "image":
        return _("a picture") if value else ""
    if (kind, field) in _OF_CORE:
        return names.of(value) if value else ""
    if kind in _LAYERED and field == "value" and known.get("control"):
        return fields.setting(value or "", names.parts.get(str(known["control"]), {}))
    if (kind, field) == (SongSetting.KIND, "program") and value is not None:
        return program_text(int(value), names.programs_of(known.get("unit")))
    return fields.text(kind, field, value, known)


def _whole(names: Names, change: Change, own: str, inner: str) -> _Told:
    """The words for a part that came or went."""
    came = isinstance(change.new, dict)
    side = change.new if came else change.old
    if change.kind in _JOINS:
        short = _((_JOINS if came else _LEAVES)[change.kind]).format(name=inner)
        gone, here = ("", inner) if came else (inner, "")
        return _Told(inner, gone, here, ADDED if came else RETIRED, short)
    about = summary(names, change.kind, side if isinstance(side, dict) else {})
    if not came:
        event = _WENT.get(change.kind, _WAS_RETIRED)
        return _Told(inner, about, "", RETIRED, event.said(inner), "" if inner else event.said(own))
    event = _CAME.get(change.kind, _WAS_ADDED)
    short = _with(event.said(inner), about)
    return _Told(inner, "", about, ADDED, short, "" if inner else _with(event.said(own), about))


def _with(event: str, about: str) -> str:
    """“was added: Corvane Hollow 2”."""
    if not about:
        return event
    return _("{event}: {about}").format(event=event, about=shorten(about))


def short_retold(short: str) -> str:
    """`ChangeLine.short` of what came, went or moved, as it was stored in English, in the language
    of the reader, as far as it can be: names and what sums the part up stay as they are."""
    if (told := _event_retold(short)) != short:
        return told
    event, _colon, about = short.partition(": ")
    if (told := _event_retold(event)) == event:
        return short
    # First stands what kind of thing it is, which is a word of ours.
    kind, *others = about.split(", ")
    return _with(told, each_of((_(kind) if kind else "", *others)))


def _event_retold(event: str) -> str:
    """Of a part of which the name is not told, it begins with a capital letter."""
    alone = (*(each.alone for each in _EVENTS), *_JOINS.values(), *_LEAVES.values())
    small = event[:1].lower() + event[1:]
    if (told := retold(small, alone)) != small:
        return str(capfirst(told))
    return retold(event, [each.named for each in _EVENTS])


def summary(names: Names, kind: str, part: Mapping[str, Value]) -> str:
    """What a whole part is, in a few words, and where it stands: “Corvane Hollow 2, cone edge,
    35 mm (1.4 in) from the grille”."""
    rows = (row for row in rows_of(kind) if row.in_summary)
    texts = [value_text(names, kind, row.name, part.get(row.name), part) for row in rows]
    if placement_of(kind):
        texts.append(placement_words(part))
    return each_of(texts)


def changed_words(label: str, old: str, new: str) -> str:
    """“Gain: 2:30 → 3:00”. Long texts are shortened; an empty one reads “nothing”."""
    words = _("{label}: {old} → {new}")
    return words.format(label=label, old=shorten(old), new=shorten(new))


def shorten(text: str) -> str:
    text = " ".join(text.split()) or _(NOTHING)
    return text if len(text) <= SHORT else f"{text[: SHORT - 1].rstrip()}…"
