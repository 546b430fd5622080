"""What each input of a rig picks up: its own unit, further units and groups of units, and the rigs
of other players. Pure.

This is the one place that knows. Findings, drawings, lists, the line check, the handover, levels,
search and API ask here, of a whole snapshot or of the few parts that were read for a list.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple, TypeVar

from django.utils.translation import gettext as _

from core.languages.words import all_of
from rigs.changes.edits import Snapshot, Value

T = TypeVar("T")
Fields = Mapping[str, Value]
BETWEEN = ";"  # what stands between the names in one cell
# The kinds of part that have a say in it.
KINDS = ("unit", "group", "member", "input", "source")


class PickedUp(NamedTuple):
    """What an input picks up, by ids.

    `chosen` is as people said it: its own unit first, then units and groups in the order of the
    rig, then other players. `units` are all units of that in this rig, each once. `groups` are
    those chosen, with their units. `players` are those of whose rigs it picks up all there is.
    """

    chosen: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    groups: Mapping[str, tuple[str, ...]] = {}
    players: tuple[str, ...] = ()


NOTHING = PickedUp()


class Heard(NamedTuple):
    """What an input of a list picks up, with the names of all that may be (by id)."""

    picked: PickedUp
    names: Mapping[str, str]

    @property
    def words(self) -> str:
        return in_words(self.picked.chosen, self.names)

    @property
    def is_plain(self) -> bool:
        """Whether it is one unit, or nothing in the rig: what most inputs pick up."""
        picked = self.picked
        return len(picked.chosen) < 2 and not picked.groups and not picked.players

    @property
    def unit_names(self) -> list[str]:
        """Of all units, those of groups too."""
        return [self.names[each] for each in self.picked.units]

    @property
    def chosen_names(self) -> list[str]:
        return [self.names[each] for each in self.picked.chosen if each in self.names]


def picked_up(snapshot: Snapshot) -> dict[str, PickedUp]:
    """What each input in `snapshot` picks up, by its id; pointers to what is not there left out."""
    parts = _by_kind(snapshot)
    members = _members(parts)
    chosen: dict[str, list[str]] = defaultdict(list)
    players: dict[str, set[str]] = defaultdict(set)
    for _part, fields in parts["source"]:
        if fields.get("player"):
            players[str(fields.get("input"))].add(str(fields["player"]))
        about = str(fields.get("unit") or fields.get("group") or "")
        if about in snapshot:
            chosen[str(fields.get("input"))].append(about)
    rank = {part: place for place, part in enumerate(_in_order(parts))}
    found = {}
    for part, fields in parts["input"]:
        own = [unit for unit in [str(fields.get("unit") or "")] if unit in snapshot]
        others = sorted(set(chosen[part]) - set(own), key=lambda each: rank.get(each, 0))
        found[part] = _all_of((*own, *others), members, tuple(sorted(players[part])))
    return found


def members_of(snapshot: Snapshot) -> dict[str, tuple[str, ...]]:
    """The units of each group in the order of the rig, by the group's id."""
    return _members(_by_kind(snapshot))


def _members(parts: Mapping[str, list[tuple[str, Fields]]]) -> dict[str, tuple[str, ...]]:
    inside: dict[str, set[str]] = defaultdict(set)
    for _part, fields in parts["member"]:
        inside[str(fields.get("group"))].add(str(fields.get("unit")))
    units = [unit for unit, _fields in parts["unit"]]
    return {
        group: tuple(unit for unit in units if unit in inside[group])
        for group, _fields in parts["group"]
    }


def _all_of(
    chosen: tuple[str, ...], members: Mapping[str, tuple[str, ...]], players: tuple[str, ...]
) -> PickedUp:
    groups = {each: members[each] for each in chosen if each in members}
    units = (unit for each in chosen for unit in groups.get(each, (each,)))
    return PickedUp((*chosen, *players), tuple(dict.fromkeys(units)), groups, players)


def _by_kind(snapshot: Snapshot) -> dict[str, list[tuple[str, Fields]]]:
    parts: dict[str, list[tuple[str, Fields]]] = {kind: [] for kind in KINDS}
    for part, fields in snapshot.items():
        kind = str(fields.get("kind"))
        if kind in parts:
            parts[kind].append((part, fields))
    for of_kind in parts.values():
        # As the rig lists them (rigs.wording.build).
        of_kind.sort(
            key=lambda item: (
                int(item[1].get("position") or 0),
                str(item[1].get("name", "")),
                item[0],
            )
        )
    return parts


def _in_order(parts: Mapping[str, Iterable[tuple[str, Fields]]]) -> Iterator[str]:
    for kind in ("unit", "group"):
        yield from (part for part, _fields in parts[kind])


def rig_of(player: str) -> str:
    """What all that a player plays through is called: “Ines Halloran’s rig”."""
    return _("{player}’s rig").format(player=player)


def names_of_rig(player: str) -> tuple[str, ...]:
    """What it is called in lists, as people type it, in lower case (casefold)."""
    return tuple(
        name.casefold() for name in (rig_of(player), f"{player}’s rig", f"{player}'s rig", player)
    )


def in_words(chosen: Iterable[str], names: Mapping[str, str]) -> str:
    """“Ride”, “the kit and Organ”, “Kick, Snare and the brass”; empty for nothing."""
    return all_of(names[each] for each in chosen if each in names)


def names_in(cell: str, known: Mapping[str, T], where: str = "") -> list[T]:
    """What the names in a cell stand for, each once: “Kick; the brass”. A name may itself hold what
    stands between names. `known` are all there are, by the name in lower case (casefold).

    Raises ValueError, in words for a form, for a name that nothing in the rig `where` has; without
    `where`, nothing in this rig.
    """
    pieces, found = cell.split(BETWEEN), list[T]()
    while pieces:
        for upto in range(len(pieces), 0, -1):
            name = BETWEEN.join(pieces[:upto]).strip().casefold()
            if name in known:
                found.append(known[name])
                pieces = pieces[upto:]
                break
        else:
            if name := pieces[0].strip():
                raise ValueError(_unknown(name, where))
            pieces = pieces[1:]
    if not found:
        raise ValueError(
            _("“{words}” names nothing that an input could pick up.").format(words=cell)
        )
    return list(dict.fromkeys(found))


def _unknown(name: str, where: str) -> str:
    if not where:
        words = _("No unit or group of units in this rig, and no other player, is called “{name}”.")
        return words.format(name=name)
    words = _("No unit or group of units in {rig}, and no other player, is called “{name}”.")
    return words.format(rig=where, name=name)
