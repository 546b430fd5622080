"""What inputs pick up, read from the tables for lists; and the edits that change it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import chain
from uuid import UUID

from core.composed import Composed, Several, column
from core.models import Player
from core.one_pass import once_a_pass
from rigs.changes.edits import Add, Edit, Retire, Snapshot
from rigs.models import Group, Input, Member, Part, Rig, Source, Unit
from rigs.models.sources import own_id
from rigs.picked_up import NOTHING, Heard, picked_up, rig_of


def with_heard(inputs: Collection[Input]) -> None:
    """Give each of `inputs` what it picks up as `heard`. Two queries, two more with groups."""
    rigs = {entry.rig_id for entry in inputs}
    states: dict[UUID, Snapshot] = defaultdict(dict)
    names: dict[str, str] = {}
    for part in chain(inputs, _parts(rigs)):
        states[part.rig_id][str(part.pk)] = part.fields()
        if isinstance(part, Unit | Group):
            names[str(part.pk)] = part.name
        elif isinstance(part, Source) and part.player is not None:
            names[str(part.player_id)] = rig_of(part.player.name)
    picked = {part: each for state in states.values() for part, each in picked_up(state).items()}
    for entry in inputs:
        entry.heard = Heard(picked.get(str(entry.pk), NOTHING), names)


def _parts(rigs: Collection[UUID]) -> Iterator[Part]:
    """The parts beside the inputs that have a say in it."""
    if not rigs:
        return
    yield from _units(rigs)
    sources = _sources(rigs)
    yield from sources
    # Most rigs have no groups, and for those nothing more is read.
    if any(source.group_id for source in sources):
        yield from _groups(rigs)
        yield from _members(rigs)


_RIGS = Several(column(Rig))
_units = Composed(lambda rigs: Unit.objects.live().filter(rig__pk__among=rigs), _RIGS)
_sources = Composed(
    lambda rigs: Source.objects.live().filter(rig__pk__among=rigs).select_related("player"), _RIGS
)
_groups = Composed(lambda rigs: Group.objects.live().filter(rig__pk__among=rigs), _RIGS)
_members = Composed(lambda rigs: Member.objects.live().filter(rig__pk__among=rigs), _RIGS)


def heard_of(entry: Input) -> Heard:
    """What one input picks up: as a list has read it, or read now."""
    if entry.heard is None:
        with_heard([entry])
    assert entry.heard is not None  # noqa: S101 - just given
    return entry.heard


def inputs_picking_up(*parts: Unit | Group) -> list[Input]:
    """The live inputs that pick up one of `parts` by itself, not through a group. Three queries."""
    ids = [part.pk for part in parts]
    own = list(Input.objects.live().filter(unit__in=ids))
    sources = Source.objects.live().select_related("input")
    rows = chain(sources.filter(unit__in=ids), sources.filter(group__in=ids))
    return list({entry.pk: entry for entry in (*own, *(row.input for row in rows))}.values())


@once_a_pass
def picked_up_whole(rigs: Collection[Rig]) -> dict[UUID, list[Input]]:
    """For each of `rigs` by its id, the live inputs of other rigs that pick up all of it, as a room
    microphone or a submix does. One query."""
    found: dict[UUID, list[Input]] = {rig.pk: [] for rig in rigs}
    of_player: dict[UUID, list[Rig]] = defaultdict(list)
    for rig in rigs:
        of_player[rig.player_id].append(rig)
    for source in _whole(list(of_player)):
        assert source.player_id is not None  # noqa: S101 - filtered by it
        for rig in of_player[source.player_id]:
            if source.rig_id != rig.pk:
                found[rig.pk].append(source.input)
    return found


_whole = Composed(
    lambda players: (
        Source.objects.live()
        .filter(player__pk__among=players, input__retired=False, input__rig__retired=False)
        .select_related("input__rig")
        .order_by("input__number", "input__name", "pk")
    ),
    Several(column(Player)),
)


Choice = tuple[str, str]  # a field of the part, and the id it points at: (“unit”, …)
# Kind of part → the field with what it belongs to, and those with what is chosen for that.
_FIELDS = {"source": ("input", ("unit", "group", "player")), "member": ("group", ("unit",))}


def chosen_in(snapshot: Snapshot, kind: str, whole: str) -> dict[Choice, list[str]]:
    """What is chosen for the input or group `whole` by parts of one kind, with their ids."""
    belongs_to, fields = _FIELDS[kind]
    chosen: dict[Choice, list[str]] = defaultdict(list)
    for part, known in snapshot.items():
        if known.get("kind") == kind and known.get(belongs_to) == whole:
            for field in fields:
                if known.get(field):
                    chosen[field, str(known[field])].append(part)
    return chosen


def chosen_edits(
    kind: str, whole: str, was: Mapping[Choice, Iterable[str]], wanted: Iterable[Choice]
) -> list[Edit]:
    """The edits that make what was chosen for an input or a group into what is wanted.

    Only what differs is touched: what somebody else chose meanwhile stays.
    """
    wanted = set(wanted)
    gone = [part for choice, parts in sorted(was.items()) if choice not in wanted for part in parts]
    return [
        *(Retire(part, kind) for part in gone),
        *(chosen_add(kind, whole, choice) for choice in sorted(wanted - was.keys())),
    ]


def chosen_add(kind: str, whole: str, choice: Choice) -> Add:
    """The edit that chooses one thing more for an input or a group."""
    field, about = choice
    return Add(str(own_id(whole, about)), kind, {_FIELDS[kind][0]: whole, field: about})
