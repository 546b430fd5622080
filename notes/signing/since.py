"""What is no longer as it was, part by part, the largest first, with who did it and why.

For the rig page (since it was signed), the player's phone (since they last signed) and the
handover (since the leg before): a fixed number of queries for any number of rigs and changes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from notes.models import Note
from notes.signing.net_changes import Difference, between
from notes.signing.size import Size, largest_first, size_of
from rigs.changes.edits import Change
from rigs.dial_scales import Scale, scale_in
from rigs.fields import POSITION, length_with_unit
from rigs.models import Control, Revision, Rig
from rigs.revisions.many import parts_read
from rigs.wording import ChangeLine, describe

LIMIT = 40  # lines for each rig; the rest is in its history
REASONS = 3  # newest revisions told for each line


class Why(NamedTuple):
    """A revision that made a difference, and the notes that were its reason."""

    revision: Revision
    notes: tuple[Note, ...]


class PartDifference(NamedTuple):
    """What differs on one unit, input or cable."""

    name: str
    kind: str
    lines: tuple[ChangeLine, ...]
    why: tuple[Why, ...]  # newest first
    size: Size  # of the largest of its lines


@dataclass(frozen=True, slots=True)
class Since:
    """All that differs on a rig: the largest differences in lines, the rest counted. Changes of
    order are not told one by one."""

    parts: tuple[PartDifference, ...] = ()
    more: int = 0
    reordered: bool = False

    def __bool__(self) -> bool:
        return bool(self.parts)


NONE = Since()


def since_revision(rig: Rig, number: int, upto: int | None = None) -> Since:
    """What is not as it was at revision `number`, now or at revision `upto`."""
    end = rig.head_number if upto is None else upto
    if number >= end:
        return NONE
    return _since_each([rig], {rig.pk: (number, end)})[rig.pk]


def since(rigs: Iterable[Rig], known: Mapping[UUID, int]) -> dict[UUID, Since]:
    """What is not as it was at the revision `known` of each rig; of a rig not in it, nothing.

    The two states are compared, so it takes as long for a few changes as for very many.
    """
    all_rigs = list(rigs)
    spans = {
        rig.pk: (known[rig.pk], rig.head_number)
        for rig in all_rigs
        if known.get(rig.pk, rig.head_number) < rig.head_number
    }
    return _since_each(all_rigs, spans)


def _since_each(rigs: list[Rig], spans: Mapping[UUID, tuple[int, int]]) -> dict[UUID, Since]:
    differences = between(rigs, spans)
    differing = {rig: _mergeable(each) for rig, each in differences.items()}
    scales = _scales(rigs, (each.change for all_of_it in differing.values() for each in all_of_it))
    largest = {rig: _largest(all_of_it, scales) for rig, all_of_it in differing.items()}
    lines = _lines(rigs, largest)
    reasons = _reasons(
        number
        for largest_here in largest.values()
        for each in largest_here
        for number in each.revisions[-REASONS:]
    )
    result = {rig.pk: NONE for rig in rigs}
    for rig, largest_here in largest.items():
        # A unit stands in the line of its length, so it is no difference to count.
        counted = sum(1 for each in differing[rig] if not _is_unit(each))
        shown = sum(1 for each in largest_here if not _is_unit(each))
        reordered = any(each.change.field == POSITION.name for each in differences[rig])
        result[rig] = Since(
            _parts(largest_here, lines, reasons, scales), counted - shown, reordered
        )
    return result


def _mergeable(differences: list[Difference]) -> list[Difference]:
    """The differences without changes of order, and a unit only beside its length, whose line has
    it."""
    there = {(each.change.part, each.change.field) for each in differences}
    placed = (each for each in differences if each.change.field != POSITION.name)
    return [each for each in placed if _own_line(each) in there]


def _is_unit(difference: Difference) -> bool:
    return length_with_unit(difference.change.kind, difference.change.field) is not None


def _own_line(difference: Difference) -> tuple[str, str]:
    """Part and field of the line that has the difference: a unit is in the line of its length."""
    change = difference.change
    length = length_with_unit(change.kind, change.field)
    return change.part, length.name if length else change.field


def _scales(rigs: Iterable[Rig], changes: Iterable[Change]) -> dict[str, Scale]:
    """What the settings that differ are read on, by control. One query; none without a setting, or
    where the rigs as they are were read already and have the controls."""
    turned = {each.part for each in changes if each.kind == "control" and each.field == "setting"}
    read = parts_read(rigs)
    scales = {part: scale_in(read[part]) for part in turned if part in read}
    left = turned - scales.keys()
    if left:
        rows = Control.objects.filter(pk__in=left).values_list("pk", "style", "low", "high")
        scales |= {str(part): Scale(style, low, high) for part, style, low, high in rows}
    return scales


def _largest(differences: list[Difference], scales: Mapping[str, Scale]) -> list[Difference]:
    """The largest differences in order; a unit stays with its length, whatever the limit."""
    counted = largest_first((each for each in differences if not _is_unit(each)), scales)[:LIMIT]
    keys = {(each.change.part, each.change.field) for each in counted}
    units = (each for each in differences if _is_unit(each) and _own_line(each) in keys)
    return [*counted, *units]


def _lines(
    rigs: list[Rig], largest: Mapping[UUID, list[Difference]]
) -> dict[tuple[str, str], ChangeLine]:
    changes = [each.change for differences in largest.values() for each in differences]
    return {(line.part, line.field): line for line in describe(rigs, changes)}


def _reasons(revisions: Iterable[int]) -> dict[int, Why]:
    """The revisions by key, each with the notes that were its reason. Two queries."""
    made = list(Revision.objects.filter(pk__in=set(revisions)))
    note_ids = {note for revision in made for note in revision.note_ids}
    notes = Note.objects.filter(pk__in=note_ids).select_related("said_by_player")
    by_id = {str(note.pk): note for note in notes}
    return {
        revision.pk: Why(
            revision, tuple(by_id[note] for note in revision.note_ids if note in by_id)
        )
        for revision in made
    }


def _parts(
    largest: list[Difference],
    lines: Mapping[tuple[str, str], ChangeLine],
    reasons: Mapping[int, Why],
    scales: Mapping[str, Scale],
) -> tuple[PartDifference, ...]:
    """The differences grouped by the unit, input or cable concerned, in the order in which each
    comes first."""
    groups: dict[str, list[tuple[ChangeLine, Difference]]] = defaultdict(list)
    for each in largest:
        line = lines.get((each.change.part, each.change.field))
        if line is not None:
            groups[line.owner].append((line, each))
    return tuple(
        PartDifference(
            pairs[0][0].part_name,
            pairs[0][0].kind,
            tuple(line for line, _ in pairs),
            _why((each for _, each in pairs), reasons),
            _size(pairs[0][1].change, scales),
        )
        for pairs in groups.values()
    )


def _size(change: Change, scales: Mapping[str, Scale]) -> Size:
    return size_of(change, scales.get(change.part, Scale()))


def _why(differences: Iterable[Difference], reasons: Mapping[int, Why]) -> tuple[Why, ...]:
    made = {number for each in differences for number in each.revisions[-REASONS:]}
    return tuple(reasons[number] for number in sorted(made, reverse=True) if number in reasons)
